/** Where the heavy work is done: in this thread for one command, or in worker threads so that a server keeps answering. */
import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import { BadInput, type ProblemAt } from './problems.ts';

/** The heavy work by name; a worker knows the same names. */
export type Jobs = Readonly<Record<string, (request: never) => unknown>>;

export type Compute<J extends Jobs> = {
  readonly run: <K extends keyof J & string>(job: K, request: Parameters<J[K]>[0]) => Promise<ReturnType<J[K]>>;
  readonly close: () => Promise<void>;
};

/** Does the work at once in this thread. */
export const computeHere = <J extends Jobs>(jobs: J): Compute<J> => ({
  run: async (job, request) => jobs[job]?.(request as never) as ReturnType<J[typeof job]>,
  close: async () => {},
});

/** What a worker answers. */
export type Answer =
  | { readonly id: number; readonly ok: true; readonly value: unknown }
  | {
      readonly id: number;
      readonly ok: false;
      readonly refusal?: { readonly code: string; readonly says: string; readonly problems: readonly ProblemAt[] };
      readonly fault?: string;
    };

interface Waiting {
  readonly id: number;
  readonly job: string;
  readonly request: unknown;
  readonly done: (value: unknown) => void;
  readonly failed: (error: Error) => void;
}

interface Hand {
  readonly worker: Worker;
  now: Waiting | null;
}

/**
 * Does the work in worker threads, one job a thread, the rest waiting in order. Threads start when first needed and do
 * not keep the process alive. A thread that dies fails its job and is replaced.
 */
export const computeInWorkers = <J extends Jobs>(
  program: URL,
  threads: number = Math.min(2, availableParallelism()),
): Compute<J> => {
  const hands: Hand[] = [];
  const queue: Waiting[] = [];
  let ids = 0;

  const next = (hand: Hand): void => {
    if (hand.now) return;
    const job = queue.shift();
    if (!job) {
      hand.worker.unref();
      return;
    }
    hand.now = job;
    hand.worker.ref();
    hand.worker.postMessage({ id: job.id, job: job.job, request: job.request });
  };

  const start = (): Hand => {
    const hand: Hand = { worker: new Worker(program), now: null };
    const finish = (settle: (job: Waiting) => void) => {
      const job = hand.now;
      hand.now = null;
      if (job) settle(job);
    };
    hand.worker.on('message', (answer: Answer) => {
      finish((job) => {
        if (answer.ok) job.done(answer.value);
        else if (answer.refusal) {
          job.failed(new BadInput(answer.refusal.code, answer.refusal.says, answer.refusal.problems));
        } else job.failed(new Error(answer.fault));
      });
      next(hand);
    });
    const gone = (error: Error) => {
      const place = hands.indexOf(hand);
      if (place >= 0) hands.splice(place, 1);
      finish((job) => job.failed(error));
      if (queue.length > 0) next(start());
    };
    hand.worker.on('error', gone);
    hand.worker.on('exit', (code) => gone(new Error(`a worker thread ended by itself (${code})`)));
    hands.push(hand);
    return hand;
  };

  return {
    run: (job, request) =>
      new Promise((done, failed) => {
        queue.push({ id: ++ids, job, request, done: done as (value: unknown) => void, failed });
        const free = hands.find(({ now }) => now === null) ?? (hands.length < threads ? start() : undefined);
        if (free) next(free);
      }),
    close: async () => {
      const all = hands.splice(0);
      await Promise.all(all.map(({ worker }) => worker.removeAllListeners('exit').terminate()));
    },
  };
};
