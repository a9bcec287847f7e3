/** Which car, which build and which logged pull the sheets show. Remembered from one visit to the next. */
import { createSavedStore, createStore } from './store.ts';

export interface Chosen {
  readonly carId: string | null;
  readonly buildId: string | null;
}

/** A logged pull laid over the prediction, or none. `auto`: the newest reviewed run of this build, if there is one. */
export type LaidOn = { readonly runId: string; readonly pull: number } | 'auto' | 'none';

const isChosen = (saved: unknown): saved is Chosen =>
  typeof saved === 'object' && saved !== null && 'carId' in saved && 'buildId' in saved;

export const chosenStore = createSavedStore<Chosen>('boostwright.chosen', { carId: null, buildId: null }, (saved) =>
  isChosen(saved) ? saved : null,
);

export const laidOnStore = createStore<LaidOn>('auto');

/** Shows another build: a run of the former one no longer lies over it. */
export const chooseBuild = (carId: string, buildId: string): void => {
  const now = chosenStore.get();
  if (now.carId === carId && now.buildId === buildId) return;
  if (now.buildId !== buildId) laidOnStore.set('auto');
  chosenStore.set({ carId, buildId });
};
