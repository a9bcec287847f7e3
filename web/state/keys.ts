/** Single keys for people who keep their hands on the keyboard. They can be switched off (WCAG 2.2, 2.1.4). */
import { useEffect, useRef } from 'react';
import { createSavedStore } from './store.ts';

export const keysStore = createSavedStore<boolean>('boostwright.keys', true, (saved) =>
  typeof saved === 'boolean' ? saved : null,
);

const typing = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  (target.isContentEditable || ['INPUT', 'SELECT', 'TEXTAREA'].includes(target.tagName));

/** Calls `handle` for keys pressed outside of fields; it returns true when the key was for it. */
export const useKeys = (handle: (event: KeyboardEvent) => boolean): void => {
  const latest = useRef(handle);
  latest.current = handle;
  useEffect(() => {
    const listen = (event: KeyboardEvent) => {
      if (!keysStore.get() || typing(event.target) || event.ctrlKey || event.metaKey) return;
      if (document.querySelector('dialog[open]')) return;
      if (latest.current(event)) event.preventDefault();
    };
    addEventListener('keydown', listen);
    return () => removeEventListener('keydown', listen);
  }, []);
};

/** A key and the one after it, like P then 7 or F then B; gone after two seconds. */
export const useKeyPair = (first: string, then: (second: string) => void): void => {
  const armed = useRef(0);
  useKeys((event) => {
    if (event.altKey) return false;
    if (performance.now() - armed.current < 2000 && /^[a-z0-9]$/i.test(event.key)) {
      armed.current = 0;
      then(event.key.toLowerCase());
      return true;
    }
    if (event.key.toLowerCase() === first) {
      armed.current = performance.now();
      return true;
    }
    return false;
  });
};
