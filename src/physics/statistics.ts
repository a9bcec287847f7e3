/** Sample quantiles and the normal distribution. */
import { type Solved, solved, unsolved } from './reason.ts';

/**
 * Sample quantiles, linear between order statistics (type 7). Samples that are not finite are left out.
 *
 * @param samples values [any], in any order
 * @param probabilities each 0 to 1 [-]
 * @returns one quantile per probability, in their order. Reasons: `no-samples`, `input-out-of-range`.
 * Source: Hyndman & Fan, The American Statistician 50 (1996) 361, definition 7.
 */
export const quantiles = (samples: ArrayLike<number>, probabilities: readonly number[]): Solved<number[]> => {
  const sorted = Float64Array.from(samples)
    .filter((value) => Number.isFinite(value))
    .sort();
  if (sorted.length === 0) return unsolved('no-samples', 'There are no finite samples to take a quantile of.');
  if (probabilities.some((p) => !(p >= 0 && p <= 1))) {
    return unsolved('input-out-of-range', 'A probability lies between 0 and 1.');
  }
  return solved(
    probabilities.map((p) => {
      const position = (sorted.length - 1) * p;
      const below = Math.floor(position);
      const share = position - below;
      const low = sorted[below]!;
      return share === 0 ? low : low + share * (sorted[below + 1]! - low);
    }),
  );
};

/** One sample quantile; see {@link quantiles}. `probability` 0 to 1 [-]. Reasons: `no-samples`, `input-out-of-range`. */
export const quantile = (samples: ArrayLike<number>, probability: number): Solved<number> => {
  const all = quantiles(samples, [probability]);
  return all.ok ? solved(all.value[0]!) : all;
};

/**
 * Standard normal distribution: the chance of a value below `z`, for any finite `z`, to 7.5e-8.
 * Source: Abramowitz & Stegun, Handbook of Mathematical Functions (1964), 26.2.17.
 */
export const normalDistribution = (z: number): number => {
  const t = 1 / (1 + 0.2316419 * Math.abs(z));
  const density = Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);
  const series = 0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429)));
  const above = density * t * series;
  return z >= 0 ? 1 - above : above;
};
