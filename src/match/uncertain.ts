/** The match with bands: seeded samples of everything uncertain about the build, through the whole model. */
import type { ResolvedBuild } from '../car/index.ts';
import { quantiles } from '../physics/index.ts';
import { sampledCars } from './sampling.ts';
import { type MatchOptions, matchCar, usualEngineSpeedsRpm } from './steady.ts';
import type {
  AnswerUncertainty,
  Band,
  BandedMatch,
  BandedMatchPoint,
  Conditions,
  MatchAnswer,
  MatchCase,
  MatchPoint,
  MatchResult,
} from './types.ts';

export interface BandOptions extends MatchOptions {
  /** Samples behind the bands; 200 when absent. */
  readonly samples?: number | undefined;
  /** Same seed, same bands. 1 when absent. */
  readonly seed?: number | undefined;
}

/** 10th, 50th and 90th percentile; null without finite values. */
export const bandOf = (values: ArrayLike<number>): Band | null => {
  const found = quantiles(values, [0.1, 0.5, 0.9]);
  if (!found.ok) return null;
  const [p10 = 0, p50 = 0, p90 = 0] = found.value;
  return { p10, p50, p90 };
};

type NumericAnswer = Exclude<MatchAnswer, 'engineSpeedRpm'>;

const numericKeys = (point: MatchPoint): NumericAnswer[] =>
  (Object.keys(point) as (keyof MatchPoint)[]).filter(
    (key): key is NumericAnswer =>
      typeof point[key] === 'number' && key !== 'engineSpeedRpm' && key !== 'knockMarginDeg',
  );

/** Points of several matches by engine speed [rpm]. */
const byEngineSpeed = (matches: readonly MatchResult[]): ReadonlyMap<number, readonly MatchPoint[]> => {
  const bySpeed = new Map<number, MatchPoint[]>();
  for (const { points } of matches) {
    for (const point of points) {
      const list = bySpeed.get(point.engineSpeedRpm);
      if (list) list.push(point);
      else bySpeed.set(point.engineSpeedRpm, [point]);
    }
  }
  return bySpeed;
};

/** Band of one answer among the samples of a point; the point's own where none is finite. */
const bandAmong = (drawn: readonly MatchPoint[], point: MatchPoint, key: NumericAnswer): Band =>
  bandOf(drawn.map((sample) => sample[key])) ?? { p10: point[key], p50: point[key], p90: point[key] };

/** Bands from matches of the samples; `best` gives cases and problems. Points are joined by engine speed. */
export const combineMatches = (
  best: MatchResult,
  samples: readonly MatchResult[],
  uncertainty: readonly AnswerUncertainty[] = [],
): BandedMatch => {
  const points: BandedMatchPoint[] = [];
  const bySpeed = byEngineSpeed(samples);
  for (const point of best.points) {
    const drawn = bySpeed.get(point.engineSpeedRpm) ?? [point];
    const banded: Record<string, unknown> = {
      engineSpeedRpm: point.engineSpeedRpm,
      case: point.case satisfies MatchCase,
    };
    for (const key of numericKeys(point)) {
      banded[key] = bandAmong(drawn, point, key);
    }
    const margins = drawn.map((sample) => sample.knockMarginDeg).filter((margin): margin is number => margin !== null);
    const margin = margins.length > 0 ? bandOf(margins) : null;
    if (margin) banded.knockMarginDeg = margin;
    points.push(banded as unknown as BandedMatchPoint);
  }
  return { conditions: best.conditions, points, problems: best.problems, samples: samples.length, uncertainty };
};

/** Matches of the best estimate and of the samples. */
const sampledMatches = (resolved: ResolvedBuild, conditions: Conditions, options: BandOptions) => {
  const { samples = 200, seed = 1, ...rest } = options;
  const matchOptions = { ...rest, engineSpeedsRpm: rest.engineSpeedsRpm ?? usualEngineSpeedsRpm(resolved.car) };
  const drawn = sampledCars(resolved, samples, seed);
  const matches: MatchResult[] = [];
  for (let index = 0; index < samples; index++) matches.push(matchCar(drawn.car(index), conditions, matchOptions));
  return { best: matchCar(resolved.car, conditions, matchOptions), matches };
};

/**
 * The steady match with the 10th, 50th and 90th percentile of every answer.
 * Cases and problems are those of the best estimate. Same build, conditions, options and seed: same answer.
 */
export const matchWithBands = (
  resolved: ResolvedBuild,
  conditions: Conditions,
  options: BandOptions = {},
): BandedMatch => {
  const { best, matches } = sampledMatches(resolved, conditions, options);
  return combineMatches(best, matches);
};

/** Of {@link matchWithBands} one answer alone, by engine speed [rpm]. */
export const matchedBands = (
  resolved: ResolvedBuild,
  conditions: Conditions,
  answer: NumericAnswer,
  options: BandOptions = {},
): ReadonlyMap<number, Band> => {
  const { best, matches } = sampledMatches(resolved, conditions, options);
  const bySpeed = byEngineSpeed(matches);
  return new Map(
    best.points.map((point) => [
      point.engineSpeedRpm,
      bandAmong(bySpeed.get(point.engineSpeedRpm) ?? [point], point, answer),
    ]),
  );
};
