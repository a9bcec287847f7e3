/** Answers that screens wait for: asked once, kept while the page is open, asked again when something changed them. */
import { useCallback, useSyncExternalStore } from 'react';
import { Refused } from './client.ts';

export type Answer<T> =
  | { readonly state: 'waiting' }
  | { readonly state: 'refused'; readonly refused: Refused; readonly again: () => void }
  | { readonly state: 'here'; readonly value: T };

interface Kept {
  answer: Answer<unknown>;
  ask: () => Promise<unknown>;
}

const WAITING: Answer<never> = { state: 'waiting' };
const kept = new Map<string, Kept>();
const listeners = new Set<() => void>();
const tell = () => {
  for (const listener of listeners) listener();
};

const start = (key: string, entry: Kept) => {
  entry
    .ask()
    .then((value): Answer<unknown> => ({ state: 'here', value }))
    .catch((error: unknown): Answer<unknown> => {
      const refused =
        error instanceof Refused
          ? error
          : new Refused('page-fault', `The page tripped over its own answer: ${String(error)}.`);
      return {
        state: 'refused',
        refused,
        again: () => {
          entry.answer = WAITING;
          start(key, entry);
          tell();
        },
      };
    })
    .then((answer) => {
      // An answer that was forgotten meanwhile belongs to nobody.
      if (kept.get(key) !== entry) return;
      entry.answer = answer;
      tell();
    });
};

/** The answer under `key`, asked with `ask` when nobody has; a null key asks nothing and waits. */
export const useAnswer = <T>(key: string | null, ask: () => Promise<T>): Answer<T> => {
  const subscribe = useCallback((listener: () => void) => {
    listeners.add(listener);
    return () => listeners.delete(listener);
  }, []);
  const read = (): Answer<T> => {
    if (key === null) return WAITING;
    const entry = kept.get(key);
    if (entry) return entry.answer as Answer<T>;
    const fresh: Kept = { answer: WAITING, ask };
    kept.set(key, fresh);
    start(key, fresh);
    return WAITING;
  };
  return useSyncExternalStore(subscribe, read);
};

/** Forgets answers whose key starts with `prefix`, so that they are asked again. */
export const forget = (prefix: string): void => {
  for (const key of [...kept.keys()]) if (key.startsWith(prefix)) kept.delete(key);
  tell();
};

/** Keeps an answer that another call has brought along. */
export const keep = <T>(key: string, value: T): void => {
  kept.set(key, { answer: { state: 'here', value }, ask: () => Promise.resolve(value) });
  tell();
};

/** The value, or undefined while it is not here. */
export const answered = <T>(answer: Answer<T>): T | undefined => (answer.state === 'here' ? answer.value : undefined);
