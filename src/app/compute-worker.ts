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
  parentPort?.postMessage(answer);
});
