/** A job of the model for a screen: begun when its request changes, the one before called off, the newest answer shown. */
import { useEffect, useState } from 'react';
import type { AnswerOf, ModelJobName, RequestOf } from '../worker/jobs.ts';
import type { Refused } from './client.ts';
import { type ModelClient, modelClient, Stopped, type WorkerLike } from './model-client.ts';

let client: ModelClient | null = null;
const theClient = (): ModelClient => {
  client ??= modelClient(
    () =>
      new Worker(new URL('../worker/model-worker.ts', import.meta.url), { type: 'module' }) as unknown as WorkerLike,
  );
  return client;
};

export type ModelAnswer<T> =
  /** Nothing asked. */
  | { readonly state: 'idle' }
  | { readonly state: 'working'; readonly done: number; readonly of: number }
  | { readonly state: 'here'; readonly value: T }
  | { readonly state: 'refused'; readonly says: string };

/**
 * The answer to `request` (null asks nothing), which must be the same object for as long as the question is the same.
 * Begins after `quietMs` without another request, so that a slider on its way asks nothing.
 */
export const useModelJob = <N extends ModelJobName>(
  job: N,
  request: RequestOf<N> | null,
  quietMs = 0,
): ModelAnswer<AnswerOf<N>> => {
  const [answer, setAnswer] = useState<ModelAnswer<AnswerOf<N>>>({ state: 'idle' });
  useEffect(() => {
    if (request === null) {
      setAnswer({ state: 'idle' });
      return;
    }
    const stop = new AbortController();
    setAnswer({ state: 'working', done: 0, of: 0 });
    const timer = setTimeout(() => {
      theClient()
        .run(job, request, {
          signal: stop.signal,
          progress: (done, of) => setAnswer({ state: 'working', done, of }),
        })
        .then(
          (value) => setAnswer({ state: 'here', value }),
          (error: Refused | Stopped) => {
            if (!(error instanceof Stopped)) setAnswer({ state: 'refused', says: error.message });
          },
        );
    }, quietMs);
    return () => {
      clearTimeout(timer);
      stop.abort();
    };
  }, [job, request, quietMs]);
  return answer;
};
