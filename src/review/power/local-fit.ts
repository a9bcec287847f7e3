/** Value and slope of a noisy reading at a time, with the error of the slope known: local polynomial regression. */
import { medianOf } from '../../logs/index.ts';

export interface LocalFit {
  readonly values: Float64Array;
  /** Per second. */
  readonly slopes: Float64Array;
  /** One standard deviation of each slope, from the scatter about the fits. */
  readonly slopeSd: Float64Array;
}

/**
 * Local quadratic fit with tricube weights: near each wanted time t0 minimises sum w (y - a - b (t - t0) - c (t - t0)^2)^2,
 * w = (1 - |t - t0|^3 / h^3)^3; value = a, slope = b. The half-width h grows where fewer than `leastReadings` lie inside.
 *
 * @param timesS times of the readings [s], ascending
 * @param values readings [any]
 * @param atS wanted times [s], ascending
 * @param halfWidthS half-width h of the window [s], above 0
 * @param leastReadings least readings in a window, 4 or more
 * @returns fits at `atS`; NaN where the readings do not allow one (fewer than four, or all at one time)
 * Source: Cleveland, J. Am. Stat. Assoc. 74 (1979) 829; Loader, Local Regression and Likelihood (1999), ch. 2.
 */
export const localFit = (
  timesS: ArrayLike<number>,
  values: ArrayLike<number>,
  atS: ArrayLike<number>,
  halfWidthS: number,
  leastReadings = 7,
): LocalFit => {
  const out = {
    values: new Float64Array(atS.length),
    slopes: new Float64Array(atS.length),
    variance: new Float64Array(atS.length),
  };
  const size = timesS.length;
  const scatter = new Float64Array(atS.length).fill(Number.NaN);
  let from = 0;
  for (let i = 0; i < atS.length; i++) {
    const centre = atS[i]!;
    while (from < size && timesS[from]! < centre - halfWidthS) from++;
    let low = from;
    let high = from;
    while (high < size && timesS[high]! <= centre + halfWidthS) high++;
    let width = halfWidthS;
    while (high - low < leastReadings && (low > 0 || high < size)) {
      const before = low > 0 ? centre - timesS[low - 1]! : Number.POSITIVE_INFINITY;
      const after = high < size ? timesS[high]! - centre : Number.POSITIVE_INFINITY;
      if (before <= after) low--;
      else high++;
      width = Math.max(width, 1.001 * Math.min(before, after));
    }
    const fit = fitWindow(timesS, values, low, high, centre, width);
    out.values[i] = fit.value;
    out.slopes[i] = fit.slope;
    out.variance[i] = fit.slopeVariancePerVariance;
    if (fit.freedom > 0.5) scatter[i] = fit.squares / fit.freedom;
  }
  // A window that fits worse than most holds something that is no parabola: its own scatter counts there.
  const usual = medianOf(scatter) ?? 0;
  const slopeSd = out.variance.map((v, i) =>
    Math.sqrt(v * Math.max(usual, Number.isFinite(scatter[i]) ? scatter[i]! : 0)),
  );
  return { values: out.values, slopes: out.slopes, slopeSd };
};

const NOTHING = {
  value: Number.NaN,
  slope: Number.NaN,
  slopeVariancePerVariance: Number.NaN,
  squares: 0,
  freedom: 0,
};

/** Tricube weight at a distance in units of the half-width. */
const weightOf = (t: number): number => {
  const u = t < 0 ? -t : t;
  if (u >= 1) return 0;
  const rest = 1 - u * u * u;
  return rest * rest * rest;
};

const fitWindow = (
  timesS: ArrayLike<number>,
  values: ArrayLike<number>,
  low: number,
  high: number,
  centre: number,
  width: number,
) => {
  if (high - low < 4) return NOTHING;
  // Moments in units of the half-width keep the 3 x 3 system well scaled: s of the weights, v of their squares, q with the readings.
  let [s0, s1, s2, s3, s4] = [0, 0, 0, 0, 0];
  let [v0, v1, v2, v3, v4] = [0, 0, 0, 0, 0];
  let [q0, q1, q2] = [0, 0, 0];
  for (let k = low; k < high; k++) {
    const t = (timesS[k]! - centre) / width;
    const t2 = t * t;
    const w = weightOf(t);
    const w2 = w * w;
    const y = w * values[k]!;
    s0 += w;
    s1 += w * t;
    s2 += w * t2;
    s3 += w * t2 * t;
    s4 += w * t2 * t2;
    v0 += w2;
    v1 += w2 * t;
    v2 += w2 * t2;
    v3 += w2 * t2 * t;
    v4 += w2 * t2 * t2;
    q0 += y;
    q1 += y * t;
    q2 += y * t2;
  }
  const inverse = inverse3([s0, s1, s2, s1, s2, s3, s2, s3, s4]);
  if (!inverse) return NOTHING;
  const coefficient = (row: number) => inverse[3 * row]! * q0 + inverse[3 * row + 1]! * q1 + inverse[3 * row + 2]! * q2;
  const [a, b, c] = [coefficient(0), coefficient(1), coefficient(2)];
  const [i0, i1, i2] = [inverse[3]!, inverse[4]!, inverse[5]!];
  const variance = i0 * (i0 * v0 + 2 * i1 * v1 + 2 * i2 * v2) + i1 * (i1 * v2 + 2 * i2 * v3) + i2 * i2 * v4;
  let squares = 0;
  for (let k = low; k < high; k++) {
    const t = (timesS[k]! - centre) / width;
    const off = values[k]! - a - b * t - c * t * t;
    squares += weightOf(t) * off * off;
  }
  return {
    value: a,
    slope: b / width,
    slopeVariancePerVariance: variance / (width * width),
    squares,
    freedom: Math.max(0, s0 - 2),
  };
};

const inverse3 = (m: readonly number[]): number[] | null => {
  const [a, b, c, d, e, f, g, h, i] = m as [number, number, number, number, number, number, number, number, number];
  const [A, B, C] = [e * i - f * h, -(d * i - f * g), d * h - e * g];
  const determinant = a * A + b * B + c * C;
  if (!(Math.abs(determinant) > 1e-9 * Math.abs(a * e * i))) return null;
  return [
    A,
    -(b * i - c * h),
    b * f - c * e,
    B,
    a * i - c * g,
    -(a * f - c * d),
    C,
    -(a * h - b * g),
    a * e - b * d,
  ].map((x) => x / determinant);
};
