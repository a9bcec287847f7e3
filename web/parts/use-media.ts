/**
 * Whether the screen is a phone's: the sheet is then unrolled instead of panned. In em, like every width in the style
 * sheets, so that large text in the browser's settings unrolls it too.
 */
import { useSyncExternalStore } from 'react';

const query = matchMedia('(max-width: 47.5em)');
const subscribe = (listener: () => void) => {
  query.addEventListener('change', listener);
  return () => query.removeEventListener('change', listener);
};

export const usePhone = (): boolean => useSyncExternalStore(subscribe, () => query.matches);
