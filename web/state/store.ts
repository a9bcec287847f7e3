/** A value that screens can watch: the smallest store that React can subscribe to. */
import { useSyncExternalStore } from 'react';

export interface Store<T> {
  readonly get: () => T;
  readonly set: (next: T) => void;
  readonly subscribe: (listener: () => void) => () => void;
}

/** A store holding `initial`; setting the same value again tells nobody. */
export const createStore = <T>(initial: T): Store<T> => {
  let value = initial;
  const listeners = new Set<() => void>();
  return {
    get: () => value,
    set: (next) => {
      if (Object.is(next, value)) return;
      value = next;
      for (const listener of listeners) listener();
    },
    subscribe: (listener) => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
};

/** The store's value; the component follows it. */
export const useStore = <T>(store: Store<T>): T => useSyncExternalStore(store.subscribe, store.get);

const readSaved = (key: string): string | null => {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
};

/** A store remembered in the browser under `key`; `revive` refuses what it cannot use by returning null. */
export const createSavedStore = <T>(key: string, initial: T, revive: (saved: unknown) => T | null): Store<T> => {
  let start = initial;
  const saved = readSaved(key);
  if (saved !== null) {
    try {
      start = revive(JSON.parse(saved)) ?? initial;
    } catch {
      start = initial;
    }
  }
  const store = createStore(start);
  store.subscribe(() => {
    try {
      localStorage.setItem(key, JSON.stringify(store.get()));
    } catch {
      // Private windows refuse storage: the choice then lasts as long as the page.
    }
  });
  return store;
};
