/** What the lift sheet is about: the two builds, and the search under way or last done. */
import { useEffect } from 'react';
import type { LiftSearchRequest, LiftSearchState } from '../../src/app/lift-api.ts';
import { Refused } from '../answers/client.ts';
import { cancelSearch, fetchSearch, startSearch } from '../answers/lift-client.ts';
import { createSavedStore, createStore, useStore } from './store.ts';

/** Build on the other side of the comparison, by build shown; undefined: the page chooses. */
export const otherBuildStore = createStore<Readonly<Record<string, string>>>({});

export const chanceStore = createSavedStore<number>('boostwright.lift-chance', 0.8, (saved) =>
  typeof saved === 'number' && saved > 0 && saved <= 1 ? saved : null,
);

/** Power that the hairline of the search stands on [W]; null until something was searched. */
export const targetPowerStore = createStore<number | null>(null);

export interface Searching {
  readonly buildId: string;
  readonly state: LiftSearchState | null;
  readonly refused: Refused | null;
}
const searchStore = createStore<Searching | null>(null);

const asRefused = (error: unknown): Refused =>
  error instanceof Refused
    ? error
    : new Refused('page-fault', `The page tripped over its own answer: ${String(error)}.`);

/** Starts a search; what was found before stays until something new is. */
export const beginSearch = async (buildId: string, request: LiftSearchRequest): Promise<void> => {
  searchStore.set({ buildId, state: null, refused: null });
  try {
    searchStore.set({ buildId, state: await startSearch(buildId, request), refused: null });
  } catch (error) {
    searchStore.set({ buildId, state: null, refused: asRefused(error) });
  }
};

export const stopSearch = async (): Promise<void> => {
  const now = searchStore.get();
  if (now?.state?.state !== 'working') return;
  try {
    searchStore.set({ ...now, state: await cancelSearch(now.state.searchId) });
  } catch (error) {
    searchStore.set({ ...now, refused: asRefused(error) });
  }
};

const ASK_AGAIN_MS = 300;

/** The search of a build; asks after it while it is under way. */
export const useSearch = (buildId: string): Searching | null => {
  const searching = useStore(searchStore);
  const own = searching?.buildId === buildId ? searching : null;
  const working = own?.state?.state === 'working' ? own.state : null;
  useEffect(() => {
    if (!working) return;
    const timer = setTimeout(async () => {
      try {
        const state = await fetchSearch(working.searchId);
        const now = searchStore.get();
        if (now?.state?.searchId === working.searchId && now.state.state === 'working')
          searchStore.set({ ...now, state });
      } catch (error) {
        const now = searchStore.get();
        if (now?.state?.searchId === working.searchId)
          searchStore.set({ ...now, state: null, refused: asRefused(error) });
      }
    }, ASK_AGAIN_MS);
    return () => clearTimeout(timer);
  }, [working]);
  return own;
};
