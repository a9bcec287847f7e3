/** Grade of the road under a stretch from a logged altitude. */

/** Mean and standard deviation of a grade [-]. */
export interface Grade {
  readonly mean: number;
  readonly sd: number;
}

/** A road of which nobody says anything: level, give or take 1 % (see `errorSpreads`). */
export const UNKNOWN_GRADE: Grade = { mean: 0, sd: 0.01 };

/**
 * Slow wander of a logged altitude over a pull [m]: satellites 1 to 3 m in ten seconds, a barometer less but with the car's own
 * wind on it (common practice, no source).
 */
const WANDER_M = 1.5;
const LEAST_LENGTH_M = 50;

/**
 * Grade by least squares of altitude over distance, with the scatter and a slow wander of the reading as its error, brought
 * together with a road of which nothing is known. Without readings enough it is that road.
 *
 * @param altitudeM on the grid [m]; NaN where missing
 * @param speedMPerS on the grid [m/s]
 * @param stepS of the grid [s]
 * @returns mean and standard deviation [-]
 * Source: regression, Gauss; precision-weighted mean.
 */
export const gradeByAltitude = (altitudeM: ArrayLike<number>, speedMPerS: ArrayLike<number>, stepS: number): Grade => {
  const points: { readonly at: number; readonly height: number }[] = [];
  let at = 0;
  for (let i = 0; i < altitudeM.length; i++) {
    const v = speedMPerS[i]!;
    if (!Number.isFinite(v)) return UNKNOWN_GRADE;
    at += v * stepS;
    if (Number.isFinite(altitudeM[i]!)) points.push({ at, height: altitudeM[i]! });
  }
  const length = points.length > 3 ? points.at(-1)!.at - points[0]!.at : 0;
  if (!(length > LEAST_LENGTH_M)) return UNKNOWN_GRADE;
  const mean = (of: (point: (typeof points)[number]) => number) =>
    points.reduce((sum, point) => sum + of(point), 0) / points.length;
  const [middle, height] = [mean((point) => point.at), mean((point) => point.height)];
  const square = points.reduce((sum, point) => sum + (point.at - middle) ** 2, 0);
  const slope = points.reduce((sum, point) => sum + (point.at - middle) * (point.height - height), 0) / square;
  const scatter = mean((point) => (point.height - height - slope * (point.at - middle)) ** 2);
  // Readings of one altimeter are not independent: a stretch counts for no more than a few of them.
  const variance = scatter / Math.min(6, points.length - 2) / (length / 3.46) ** 2 + (WANDER_M / length) ** 2;
  const [known, unknown] = [1 / variance, 1 / UNKNOWN_GRADE.sd ** 2];
  return { mean: (known * slope) / (known + unknown), sd: 1 / Math.sqrt(known + unknown) };
};
