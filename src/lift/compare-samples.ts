/** Two builds of a car in the same samples: the costly part of a comparison, to be shared between workers. */
import { type Build, type Car, type ResolvedBuild, resolveBuild } from '../car/index.ts';
import {
  type Conditions,
  type LedgerSample,
  ledgerContext,
  ledgerSample,
  type MatchOptions,
  type MatchResult,
  matchCar,
} from '../match/index.ts';
import { commonNumbers } from './common-numbers.ts';

export interface ComparedBuilds {
  readonly before: Build;
  readonly after: Build;
  readonly conditions: Conditions;
  readonly match?: MatchOptions | undefined;
}

export interface ComparedShare {
  readonly samples: number;
  readonly seed: number;
  readonly from: number;
  /** Not counted. */
  readonly to: number;
}

/** One build in one sample. */
export interface SideSample {
  readonly ledger: LedgerSample;
  /** At {@link comparedSpeedsRpm}; null above the rev limit or without a balance. */
  readonly torqueNm: readonly (number | null)[];
  readonly boostPa: readonly (number | null)[];
}
export interface PairSample {
  readonly before: SideSample;
  readonly after: SideSample;
}

const STEP_RPM = 250;
const SLOWEST_RPM = 1250;

/** Engine speeds at which both builds are solved: multiples of 250 up to the higher rev limit. */
export const comparedSpeedsRpm = (before: ResolvedBuild, after: ResolvedBuild): number[] => {
  const top = Math.max(before.car.engine.revLimitRpm, after.car.engine.revLimitRpm);
  return Array.from(
    { length: Math.max(1, Math.floor((top - SLOWEST_RPM) / STEP_RPM) + 1) },
    (_, index) => SLOWEST_RPM + index * STEP_RPM,
  );
};

/** Full throttle of one car at the compared speeds that it can turn. */
export const fullThrottle = (
  car: Car,
  speeds: readonly number[],
  conditions: Conditions,
  match: MatchOptions = {},
): Pick<SideSample, 'torqueNm' | 'boostPa'> => {
  const engineSpeedsRpm = speeds.filter((rpm) => rpm <= car.engine.revLimitRpm);
  const { points }: MatchResult = matchCar(car, conditions, { ...match, engineSpeedsRpm });
  const bySpeed = new Map(points.map((point) => [point.engineSpeedRpm, point]));
  return {
    torqueNm: speeds.map((rpm) => bySpeed.get(rpm)?.torqueNm ?? null),
    boostPa: speeds.map((rpm) => bySpeed.get(rpm)?.boostPa ?? null),
  };
};

/** Samples `from` to `to` of both builds, with common random numbers. The same numbers come out however it is shared. */
export const pairShard = (
  { before, after, conditions, match }: ComparedBuilds,
  { samples, seed, from, to }: ComparedShare,
): PairSample[] => {
  const [one, other] = [resolveBuild(before), resolveBuild(after)];
  const numbers = commonNumbers(one, samples, seed);
  const speeds = comparedSpeedsRpm(one, other);
  const sideOf = (resolved: ResolvedBuild) => {
    const carAt = numbers.carsOf(resolved);
    const context = ledgerContext(resolved, conditions, match);
    return (index: number): SideSample => {
      const car = carAt(index);
      return { ledger: ledgerSample(car, context), ...fullThrottle(car, speeds, conditions, match) };
    };
  };
  const [beforeAt, afterAt] = [sideOf(one), sideOf(other)];
  return Array.from({ length: Math.max(0, Math.min(to, samples) - from) }, (_, index) => ({
    before: beforeAt(from + index),
    after: afterAt(from + index),
  }));
};
