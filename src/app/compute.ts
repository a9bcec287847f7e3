/** Where the heavy work is done: in this thread for one command, or in worker threads so that a server keeps answering. */
import { availableParallelism } from 'node:os';
import { type Transferable, Worker } from 'node:worker_threads';
import { BadInput, type ProblemAt } from './problems.ts';
import { Cancelled } from './watch.ts';

/** The heavy work by name; a worker knows the same names. */
export type Jobs = Readonly<Record<string, (request: never) => unknown>>;

/** Watches one job: hears the share done, 0 to 1, and may call it off. Jobs that take no watch neither tell nor stop. */
export interface JobWatch {
  readonly onProgress?: (share: number) => void;
  readonly signal?: AbortSignal;
}

export type Compute<J extends Jobs> = {
  readonly run: <K extends keyof J & string>(
    job: K,
    request: Parameters<J[K]>[0],
    watch?: JobWatch,
    /** Ports and buffers of the request that go over to the worker. */
    transfer?: readonly Transferable[],
  ) => Promise<ReturnType<J[K]>>;
  readonly close: () => Promise<void>;
};

/** Does the work at once in this thread. What a job makes of being called off is up to it. */
export const computeHere = <J extends Jobs>(jobs: J): Compute<J> => ({
  run: async (job, request, watch) => {
    const work = jobs[job] as unknown as (request: unknown, watch?: unknown) => ReturnType<J[typeof job]>;
    if (!watch) return work(request);
    return work(request, { ...watch, isStopped: () => watch.signal?.aborted ?? false });
  },
  close: async () => {},
});

/** What a worker says while it is at a job. */
export interface Progress {
  readonly id: number;
  readonly share: number;
}

/** What a worker answers. */
export type Answer =
  | { readonly id: number; readonly ok: true; readonly value: unknown }
  | {
      readonly id: number;
      readonly ok: false;
      readonly refusal?: { readonly code: string; readonly says: string; readonly problems: readonly ProblemAt[] };
      readonly fault?: string;
    };

const calledOff = () => new Cancelled('the work was called off');

interface Waiting {
  readonly id: number;
  readonly job: string;
  readonly request: unknown;
  readonly watch: JobWatch | undefined;
  readonly transfer: readonly Transferable[];
  /** Set to 1 when the job is called off; the worker looks at it while it works. */
  readonly stop: Int32Array<SharedArrayBuffer> | null;
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
): Compute<J> & { readonly start: () => void } => {
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
    hand.worker.postMessage({ id: job.id, job: job.job, request: job.request, stop: job.stop }, job.transfer);
  };

  const start = (): Hand => {
    const hand: Hand = { worker: new Worker(program), now: null };
    const finish = (settle: (job: Waiting) => void) => {
      const job = hand.now;
      hand.now = null;
      if (job) settle(job);
    };
    hand.worker.on('message', (answer: Answer | Progress) => {
      if ('share' in answer) {
        if (hand.now?.id === answer.id) hand.now.watch?.onProgress?.(answer.share);
        return;
      }
      finish((job) => {
        if (answer.ok) job.done(answer.value);
        else if (job.watch?.signal?.aborted) job.failed(calledOff());
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
    /** Lets the first thread load its program before there is a job. */
    start: () => {
      if (hands.length === 0) next(start());
    },
    run: (job, request, watch, transfer = []) =>
      new Promise((done, failed) => {
        const signal = watch?.signal;
        if (signal?.aborted) {
          failed(calledOff());
          return;
        }
        const stop = watch ? new Int32Array(new SharedArrayBuffer(4)) : null;
        const waiting: Waiting = {
          id: ++ids,
          job,
          request,
          watch,
          transfer,
          stop,
          done: done as (value: unknown) => void,
          failed,
        };
        queue.push(waiting);
        signal?.addEventListener(
          'abort',
          () => {
            if (stop) Atomics.store(stop, 0, 1);
            const place = queue.indexOf(waiting);
            if (place < 0) return;
            queue.splice(place, 1);
            failed(calledOff());
          },
          { once: true },
        );
        const free = hands.find(({ now }) => now === null) ?? (hands.length < threads ? start() : undefined);
        if (free) next(free);
      }),
    close: async () => {
      const all = hands.splice(0);
      await Promise.all(all.map(({ worker }) => worker.removeAllListeners('exit').terminate()));
    },
  };
};
