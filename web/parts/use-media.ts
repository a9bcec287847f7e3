/** Whether the screen is a phone's: the sheet is then unrolled instead of panned. */
import { useSyncExternalStore } from 'react';

const query = matchMedia('(max-width: 760px)');
const subscribe = (listener: () => void) => {
  query.addEventListener('change', listener);
  return () => query.removeEventListener('change', listener);
};

export const usePhone = (): boolean => useSyncExternalStore(subscribe, () => query.matches);
