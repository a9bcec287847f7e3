/** The worker thread: does one job at a time and answers with its value, a refusal, or a fault. */
import { parentPort } from 'node:worker_threads';
import type { Answer } from './compute.ts';
import { JOBS } from './jobs.ts';
import { refusalOf } from './problems.ts';

interface Asked {
  readonly id: number;
  readonly job: keyof typeof JOBS;
  readonly request: never;
}

/** Large arrays are handed over, not copied; some share one clock, which goes once. */
const buffersOf = (value: unknown): ArrayBuffer[] => {
  const { series = [] } = (value ?? {}) as { series?: readonly { timesS: Float64Array; values: Float64Array }[] };
  const buffers = series.flatMap(({ timesS, values }) => [timesS.buffer, values.buffer]);
  return [...new Set(buffers)].filter((buffer) => buffer instanceof ArrayBuffer);
};

parentPort?.on('message', ({ id, job, request }: Asked) => {
  let answer: Answer;
  try {
    answer = { id, ok: true, value: JOBS[job](request) };
  } catch (error) {
    const refusal = refusalOf(error);
    answer = refusal
      ? { id, ok: false, refusal }
      : { id, ok: false, fault: error instanceof Error ? (error.stack ?? error.message) : String(error) };
  }
  parentPort?.postMessage(answer, buffersOf(answer.ok ? answer.value : null));
});
