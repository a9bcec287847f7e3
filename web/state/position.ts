/** Where the hairline stands. Shared by all sheets: 5,200 rpm on one is 5,200 rpm on the next. */
import { createStore } from './store.ts';

/** One step of a dragged ruler [rpm]: finer than anyone reads a tachometer. */
const STEP_RPM = 10;

export const engineSpeedStore = createStore(4500);

/** Moves the hairline to `rpm`, held between the ends of the ruler. */
export const moveToEngineSpeed = (rpm: number, lowestRpm: number, highestRpm: number): void => {
  const stepped = Math.round(rpm / STEP_RPM) * STEP_RPM;
  engineSpeedStore.set(Math.min(highestRpm, Math.max(lowestRpm, stepped)));
};

/** Crank power at which the headroom hairline stands [W]; null: where the build stands. */
export const crankPowerStore = createStore<number | null>(null);
