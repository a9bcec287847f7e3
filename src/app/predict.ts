/** The build's match in the air of a run's day, for its curves and for laying beside its traces. */
import type { Car, ResolvedBuild } from '../car/index.ts';
import type { Pull } from '../logs/index.ts';
import { type BandedMatchPoint, type Conditions, matchWithBands } from '../match/index.ts';
import { BIN_RPM, type Predicts } from '../review/index.ts';
import { matchSpeedsRpm } from './match.ts';

/** Cars solved for the bands of a prediction laid beside a log. */
const SAMPLES = 64;

/** Engine speeds to predict for a run: the whole range of the match, and every bin of its pulls. */
export const speedsToPredict = (car: Car, pulls: readonly Pull[]): number[] => {
  const speeds = new Set(matchSpeedsRpm(car));
  for (const { minEngineSpeedRpm, maxEngineSpeedRpm } of pulls) {
    // A fit through noisy readings may reach a bin further than the readings do.
    const last = Math.round(maxEngineSpeedRpm / BIN_RPM) + 1;
    for (let n = Math.max(1, Math.round(minEngineSpeedRpm / BIN_RPM) - 1); n <= last; n++) speeds.add(n * BIN_RPM);
  }
  return [...speeds].sort((a, b) => a - b);
};

/** Seeded: same build, air and speeds give the same points. */
export const predictedPoints = (
  resolved: ResolvedBuild,
  conditions: Conditions,
  engineSpeedsRpm: readonly number[],
): readonly BandedMatchPoint[] => matchWithBands(resolved, conditions, { samples: SAMPLES, engineSpeedsRpm }).points;

/** Crank power of the points by engine speed. */
export const powerByRpm = (points: readonly BandedMatchPoint[]): ReturnType<Predicts> =>
  new Map(points.map(({ engineSpeedRpm, powerW }) => [engineSpeedRpm, powerW]));
