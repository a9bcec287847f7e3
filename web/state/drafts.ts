/** What is being typed and not yet saved, kept over a reload; each window keeps its own. */
import { createSavedStore, type Store } from './store.ts';

const stores = new Map<string, Store<unknown>>();

/**
 * The draft under a name, null where there is none. A window that saves or throws its draft away does not take away what
 * another window is still typing.
 */
export const draftStore = <T extends object>(name: string, revive: (saved: object) => T | null): Store<T | null> => {
  const known = stores.get(name);
  if (known) return known as Store<T | null>;
  const key = `boostwright.draft.${name}`;
  const store = createSavedStore<T | null>(key, null, (saved) =>
    typeof saved === 'object' && saved !== null ? revive(saved) : null,
  );
  store.subscribe(() => {
    if (store.get() !== null) return;
    try {
      localStorage.removeItem(key);
    } catch {
      // Nothing was stored where storage is refused.
    }
  });
  addEventListener('storage', (event) => {
    const own = store.get();
    if (event.key !== key || own === null || (event.newValue !== null && event.newValue !== 'null')) return;
    localStorage.setItem(key, JSON.stringify(own));
  });
  stores.set(name, store as Store<unknown>);
  return store;
};
