/** The difference of two powers, method by method, so that errors which both pulls share cancel. */
import { CELL_SD, leastVarianceWeights, NORMAL_90, SHAPE_SD } from '../power/index.ts';
import type { Band } from '../types.ts';
import type { Common } from './common.ts';
import type { BasisBin, BasisCell, PowerMethod } from './types.ts';

/** ln(second / first) with its standard deviation, and the levels by the same weights on the same methods. */
export interface LogDifference {
  readonly logRatio: number;
  readonly sd: number;
  readonly firstLog: number;
  readonly secondLog: number;
  readonly methods: readonly PowerMethod[];
  /** How much farther apart the methods lie than their errors allow for; 1 or more. */
  readonly apart: number;
}

interface Pair {
  readonly method: PowerMethod;
  readonly first: BasisCell;
  readonly second: BasisCell;
}

const WIDEST_APART = 2.5;

/** Covariance of the ln ratios by two methods. */
const covariance = (a: Pair, b: Pair, common: Common): number => {
  if (common.sameReadings) return a === b ? 1e-12 : 0;
  let sum = 0;
  for (const name of new Set([...Object.keys(a.first.moves), ...Object.keys(a.second.moves)])) {
    const [a1, a2] = [a.first.moves[name] ?? 0, a.second.moves[name] ?? 0];
    const [b1, b2] = [b.first.moves[name] ?? 0, b.second.moves[name] ?? 0];
    sum += common.shares(name) ? (a2 - a1) * (b2 - b1) : a1 * b1 + a2 * b2;
  }
  if (a !== b) return sum;
  const shape = common.sharesShape(a.method) ? 0 : 2 * SHAPE_SD[a.method] ** 2;
  return sum + shape + a.first.noiseSd ** 2 + a.second.noiseSd ** 2 + 2 * CELL_SD ** 2;
};

/**
 * ln(power of second / power of first) in one bin: each method that both pulls have gives one, with the errors left that
 * they do not share; weighted together by least variance without negative weights, widened where the methods lie farther
 * apart than their errors allow for. Null where no method is in both.
 * Source: Aitken (1935) for the weights, Birge, Phys. Rev. 40 (1932) 207 for the widening.
 */
export const logDifference = (
  first: BasisBin,
  second: BasisBin,
  common: Common,
  setAside: ReadonlySet<PowerMethod>,
): LogDifference | null => {
  const pairs = first.cells.flatMap((cell): Pair[] => {
    const other = second.cells.find(({ method }) => method === cell.method);
    return other && !setAside.has(cell.method) ? [{ method: cell.method, first: cell, second: other }] : [];
  });
  if (pairs.length === 0) return null;
  const of = (i: number, j: number) => covariance(pairs[i]!, pairs[j]!, common);
  const weights = leastVarianceWeights(of, pairs.length);
  let logRatio = 0;
  let firstLog = 0;
  let secondLog = 0;
  let variance = 0;
  pairs.forEach((pair, i) => {
    firstLog += weights[i]! * pair.first.logPower;
    secondLog += weights[i]! * pair.second.logPower;
    logRatio += weights[i]! * (pair.second.logPower - pair.first.logPower);
    pairs.forEach((_, j) => {
      variance += weights[i]! * weights[j]! * of(i, j);
    });
  });
  // A method's distance from the joint answer varies by V_mm less the joint variance where the weights are the best ones.
  const distances = pairs.map((pair, i) => {
    const room = Math.max(of(i, i) - variance, 0.1 * of(i, i));
    return (pair.second.logPower - pair.first.logPower - logRatio) ** 2 / room;
  });
  const spread = pairs.length > 1 ? Math.sqrt(distances.reduce((sum, d) => sum + d, 0) / (pairs.length - 1)) : 1;
  const apart = common.sameReadings ? 1 : Math.min(WIDEST_APART, Math.max(1, spread));
  return {
    logRatio,
    sd: common.sameReadings ? 0 : Math.sqrt(Math.max(0, variance)) * apart,
    firstLog,
    secondLog,
    methods: pairs.map(({ method }) => method),
    apart,
  };
};

/** p10, p50 and p90 of a normal value. */
export const normalBand = (middle: number, sd: number): Band => ({
  p10: middle - NORMAL_90 * sd,
  p50: middle,
  p90: middle + NORMAL_90 * sd,
});

/** Levels and difference [W] from ln values; `firstSd`, `secondSd`: relative errors of each level by itself. */
export const powerBands = (
  { logRatio, sd, firstLog }: Pick<LogDifference, 'logRatio' | 'sd' | 'firstLog'>,
  firstSd: number,
  secondSd: number,
): { readonly firstW: Band; readonly secondW: Band; readonly differenceW: Band } => {
  const firstW = Math.exp(firstLog);
  const secondW = Math.exp(firstLog + logRatio);
  const differenceW = secondW - firstW;
  const differenceSdW = Math.hypot(secondW * sd, differenceW * firstSd);
  const level = (power: number, relative: number): Band => ({
    p10: power * Math.exp(-NORMAL_90 * relative),
    p50: power,
    p90: power * Math.exp(NORMAL_90 * relative),
  });
  return {
    firstW: level(firstW, firstSd),
    secondW: level(secondW, secondSd),
    differenceW: normalBand(differenceW, differenceSdW),
  };
};
