/** What the build sheet says the car should give here: the match in the air of the day, with its bands. */
import type { ResolvedBuild } from '../../car/index.ts';
import { type Conditions, matchedBands } from '../../match/index.ts';
import type { Band } from '../types.ts';

/** Seeded samples behind a band: 64 of a quasi-random sequence hold a 10 % point to about a tenth of the band. */
const SAMPLES = 64;

/** Says the predicted crank power [W] at engine speeds [rpm]; what it leaves out has no answer. */
export type Predicts = (engineSpeedsRpm: readonly number[]) => ReadonlyMap<number, Band>;

/**
 * Predicted crank power [W] at full throttle, boost up, for each engine speed asked for [rpm]; null where the match has no
 * answer. Same build, air and speeds: same answer.
 */
export const predictedPower = (
  resolved: ResolvedBuild,
  conditions: Conditions,
  engineSpeedsRpm: readonly number[],
): ReadonlyMap<number, Band> => {
  if (engineSpeedsRpm.length === 0) return new Map();
  const rising = [...new Set(engineSpeedsRpm)].sort((a, b) => a - b);
  return matchedBands(resolved, conditions, 'powerW', { engineSpeedsRpm: rising, samples: SAMPLES });
};
