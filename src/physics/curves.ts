/** Curves through points of a table: straight lines, and cubics that keep its shape. */
import { type Solved, solved, unsolved } from './reason.ts';

/** A curve through points; outside the table it holds the value of the nearer end. */
export interface Curve {
  /** Value at `x`, clamped at the ends. */
  readonly at: (x: number) => number;
  /** Slope at `x`; zero outside the table. */
  readonly slopeAt: (x: number) => number;
  /** First and last abscissa: outside them `at` holds the end value. */
  readonly from: number;
  readonly to: number;
}

const tableProblem = (xs: ArrayLike<number>, ys: ArrayLike<number>): string | undefined => {
  if (xs.length !== ys.length) return `The columns have ${xs.length} and ${ys.length} points.`;
  if (xs.length === 0) return 'The table has no points.';
  for (let i = 0; i < xs.length; i++) {
    if (!Number.isFinite(xs[i]) || !Number.isFinite(ys[i])) return `Point ${i + 1} is not finite.`;
    if (i > 0 && !(xs[i]! > xs[i - 1]!)) return `Abscissa ${i + 1} (${xs[i]}) does not exceed the one before.`;
  }
  return undefined;
};

/** Index i with xs[i] <= x < xs[i + 1], for x inside the table (last interval includes its right end). */
const intervalOf = (xs: Float64Array, x: number): number => {
  let lower = 0;
  let upper = xs.length - 1;
  while (upper - lower > 1) {
    const middle = (lower + upper) >> 1;
    if (xs[middle]! <= x) lower = middle;
    else upper = middle;
  }
  return lower;
};

/**
 * Straight lines between points, constant beyond the ends.
 *
 * @param xs abscissas [any], strictly increasing, one point or more
 * @param ys ordinates [any], as many as abscissas
 * @returns a {@link Curve}. Reason: `table-malformed`.
 * Source: definition.
 */
export const linearCurve = (xs: ArrayLike<number>, ys: ArrayLike<number>): Solved<Curve> => {
  const problem = tableProblem(xs, ys);
  if (problem) return unsolved('table-malformed', problem);
  const x = Float64Array.from(xs);
  const y = Float64Array.from(ys);
  const last = x.length - 1;
  const from = x[0]!;
  const to = x[last]!;
  const slope = (i: number): number => (y[i + 1]! - y[i]!) / (x[i + 1]! - x[i]!);
  return solved({
    from,
    to,
    at: (at) => {
      if (!(at > from)) return y[0]!;
      if (at >= to) return y[last]!;
      const i = intervalOf(x, at);
      const share = (at - x[i]!) / (x[i + 1]! - x[i]!);
      return y[i]! * (1 - share) + y[i + 1]! * share;
    },
    slopeAt: (at) => (last === 0 || at < from || at > to ? 0 : slope(intervalOf(x, at))),
  });
};

/** Three-point end slope of PCHIP, limited to keep the shape. */
const endSlope = (h0: number, h1: number, d0: number, d1: number): number => {
  const slope = ((2 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
  if (Math.sign(slope) !== Math.sign(d0)) return 0;
  if (Math.sign(d0) !== Math.sign(d1) && Math.abs(slope) > Math.abs(3 * d0)) return 3 * d0;
  return slope;
};

const pchipSlopes = (x: Float64Array, y: Float64Array): Float64Array => {
  const n = x.length;
  const slopes = new Float64Array(n);
  if (n === 1) return slopes;
  const h = new Float64Array(n - 1);
  const d = new Float64Array(n - 1);
  for (let i = 0; i < n - 1; i++) {
    h[i] = x[i + 1]! - x[i]!;
    d[i] = (y[i + 1]! - y[i]!) / h[i]!;
  }
  if (n === 2) return slopes.fill(d[0]!);
  for (let i = 1; i < n - 1; i++) {
    const before = d[i - 1]!;
    const after = d[i]!;
    if (before * after <= 0) continue;
    const w1 = 2 * h[i]! + h[i - 1]!;
    const w2 = h[i]! + 2 * h[i - 1]!;
    slopes[i] = (w1 + w2) / (w1 / before + w2 / after);
  }
  slopes[0] = endSlope(h[0]!, h[1]!, d[0]!, d[1]!);
  slopes[n - 1] = endSlope(h[n - 2]!, h[n - 3]!, d[n - 2]!, d[n - 3]!);
  return slopes;
};

/**
 * Piecewise cubic through points that rises where the points rise and falls where they fall (no overshoot), constant
 * beyond the ends: PCHIP.
 *
 * @param xs abscissas [any], strictly increasing, one point or more
 * @param ys ordinates [any], as many as abscissas
 * @returns a {@link Curve} with continuous slope inside the table. Reason: `table-malformed`.
 * Source: Fritsch & Carlson, SIAM J. Numer. Anal. 17 (1980) 238; slopes of Fritsch & Butland, SIAM J. Sci. Stat.
 * Comput. 5 (1984) 300.
 */
export const monotoneCurve = (xs: ArrayLike<number>, ys: ArrayLike<number>): Solved<Curve> => {
  const problem = tableProblem(xs, ys);
  if (problem) return unsolved('table-malformed', problem);
  const x = Float64Array.from(xs);
  const y = Float64Array.from(ys);
  const m = pchipSlopes(x, y);
  const last = x.length - 1;
  const from = x[0]!;
  const to = x[last]!;
  return solved({
    from,
    to,
    at: (at) => {
      if (!(at > from)) return y[0]!;
      if (at >= to) return y[last]!;
      const i = intervalOf(x, at);
      const h = x[i + 1]! - x[i]!;
      const t = (at - x[i]!) / h;
      const u = 1 - t;
      return u * u * ((1 + 2 * t) * y[i]! + t * h * m[i]!) + t * t * ((3 - 2 * t) * y[i + 1]! - u * h * m[i + 1]!);
    },
    slopeAt: (at) => {
      if (last === 0 || at < from || at > to) return 0;
      const i = intervalOf(x, at);
      const h = x[i + 1]! - x[i]!;
      const t = (at - x[i]!) / h;
      const secant = (y[i + 1]! - y[i]!) / h;
      return 6 * t * (1 - t) * secant + (1 - t) * (1 - 3 * t) * m[i]! + t * (3 * t - 2) * m[i + 1]!;
    },
  });
};
