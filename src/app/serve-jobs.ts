/** The inside of a worker thread: does one job at a time and answers with its value, a refusal, or a fault. */
import { parentPort } from 'node:worker_threads';
import type { Answer, Jobs, Progress } from './compute.ts';
import { refusalOf } from './problems.ts';

interface Asked {
  readonly id: number;
  readonly job: string;
  readonly request: never;
  /** Set to 1 when the job is called off; null when nobody watches it. */
  readonly stop: Int32Array<SharedArrayBuffer> | null;
}

/** Large arrays are handed over, not copied; some share one clock, which goes once. */
const buffersOf = (value: unknown): ArrayBuffer[] => {
  const { series = [] } = (value ?? {}) as { series?: readonly { timesS: Float64Array; values: Float64Array }[] };
  const buffers = series.flatMap(({ timesS, values }) => [timesS.buffer, values.buffer]);
  return [...new Set(buffers)].filter((buffer) => buffer instanceof ArrayBuffer);
};

const answerTo = (jobs: Jobs, { id, job, request, stop }: Asked): void => {
  let answer: Answer;
  const work = jobs[job] as (request: never, watch?: unknown) => unknown;
  const watch = stop && {
    onProgress: (share: number) => parentPort?.postMessage({ id, share } satisfies Progress),
    isStopped: () => Atomics.load(stop, 0) === 1,
  };
  try {
    answer = { id, ok: true, value: watch ? work(request, watch) : work(request) };
  } catch (error) {
    const refusal = refusalOf(error);
    answer = refusal
      ? { id, ok: false, refusal }
      : { id, ok: false, fault: error instanceof Error ? (error.stack ?? error.message) : String(error) };
  }
  parentPort?.postMessage(answer, buffersOf(answer.ok ? answer.value : null));
};

/** Makes this thread the worker that does these jobs. */
export const serveJobs = (jobs: Jobs): void => {
  parentPort?.on('message', (asked: Asked) => answerTo(jobs, asked));
};
