/** Jobs of the model in the browser's worker: asked by name, with progress, called off by a signal. */
import type { AnswerOf, ModelJobName, RequestOf } from '../worker/jobs.ts';
import type { FromWorker, ToWorker } from '../worker/messages.ts';
import { Refused } from './client.ts';

/** The job was called off. */
export class Stopped extends Error {
  override readonly name = 'Stopped';
}

/** What a worker is to this client. */
export interface WorkerLike {
  postMessage(message: ToWorker): void;
  onmessage: ((event: { data: FromWorker }) => void) | null;
  onerror: ((event: { message?: string }) => void) | null;
}

interface Pending {
  readonly progress: ((done: number, of: number) => void) | undefined;
  readonly done: (value: unknown) => void;
  readonly failed: (error: Error) => void;
}

export interface ModelClient {
  readonly run: <N extends ModelJobName>(
    job: N,
    request: RequestOf<N>,
    watch?: {
      readonly signal?: AbortSignal | undefined;
      readonly progress?: ((done: number, of: number) => void) | undefined;
    },
  ) => Promise<AnswerOf<N>>;
}

/** One worker, started when first asked; a worker that breaks fails its jobs and the next job starts another. */
export const modelClient = (start: () => WorkerLike): ModelClient => {
  const pending = new Map<number, Pending>();
  let worker: WorkerLike | null = null;
  let count = 0;

  const ready = (): WorkerLike => {
    if (worker) return worker;
    const own = start();
    own.onmessage = ({ data }) => {
      const job = pending.get(data.id);
      if (!job) return;
      if (data.kind === 'progress') {
        job.progress?.(data.done, data.of);
        return;
      }
      pending.delete(data.id);
      if (data.kind === 'answer') job.done(data.value);
      else if (data.kind === 'stopped') job.failed(new Stopped('called off'));
      else job.failed(new Refused('model-fault', data.says));
    };
    own.onerror = ({ message }) => {
      worker = null;
      const all = [...pending.values()];
      pending.clear();
      for (const job of all) job.failed(new Refused('model-fault', message ?? 'The model broke off in the browser.'));
    };
    worker = own;
    return own;
  };

  return {
    run: <N extends ModelJobName>(
      job: N,
      request: RequestOf<N>,
      { signal, progress }: Parameters<ModelClient['run']>[2] = {},
    ) =>
      new Promise<AnswerOf<N>>((done, failed) => {
        if (signal?.aborted) {
          failed(new Stopped('called off'));
          return;
        }
        const id = ++count;
        const stop = () => {
          // The answer is nobody's from here on; the worker stops at its next turn.
          pending.delete(id);
          worker?.postMessage({ cancel: id });
          failed(new Stopped('called off'));
        };
        const settled =
          <T>(settle: (value: T) => void) =>
          (value: T) => {
            signal?.removeEventListener('abort', stop);
            settle(value);
          };
        pending.set(id, {
          progress,
          done: settled((value: unknown) => done(value as AnswerOf<N>)),
          failed: settled(failed),
        });
        signal?.addEventListener('abort', stop, { once: true });
        ready().postMessage({ id, job, request });
      }),
  };
};
