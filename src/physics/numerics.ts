/**
 * Numerical methods: one bracketed root, one minimum, two interpolants and quantiles. General; nothing about engines.
 */
import { type Solved, solved, unsolved } from './reason.ts';

/** When an iteration stops. */
export interface IterationOptions {
  /** Absolute tolerance on the abscissa, in its unit. Default 1e-12 times the larger end, at least 1e-300. */
  readonly tolerance?: number;
  /** Most evaluations after the ends. Default 100. */
  readonly maxIterations?: number;
}

/**
 * Root of a continuous function between two ends where it has opposite signs, by Brent's method (bisection, secant and
 * inverse quadratic steps; never leaves the bracket).
 *
 * @param f function of one variable [any], continuous on the interval
 * @param low one end [unit of the abscissa]
 * @param high other end [unit of the abscissa]
 * @returns abscissa within the tolerance of a root. Reasons: `bracket-without-root`, `no-convergence`,
 * `input-out-of-range` when f is not finite.
 * Source: Brent, Algorithms for Minimization without Derivatives (1973), ch. 4.
 */
export const findRoot = (
  f: (x: number) => number,
  low: number,
  high: number,
  options: IterationOptions = {},
): Solved<number> => {
  const tolerance = options.tolerance ?? Math.max(1e-12 * Math.max(Math.abs(low), Math.abs(high)), 1e-300);
  const maxIterations = options.maxIterations ?? 100;
  let a = low;
  let b = high;
  let fa = f(a);
  let fb = f(b);
  if (!Number.isFinite(fa) || !Number.isFinite(fb)) {
    return unsolved('input-out-of-range', `The function is not finite at an end of the interval ${low} to ${high}.`);
  }
  if (fa === 0) return solved(a);
  if (fb === 0) return solved(b);
  if (fa > 0 === fb > 0) {
    return unsolved('bracket-without-root', `The function has one sign at both ${low} and ${high}.`);
  }
  let c = a;
  let fc = fa;
  let step = b - a;
  let stepBefore = step;
  for (let i = 0; i < maxIterations; i++) {
    if (fb > 0 === fc > 0) {
      c = a;
      fc = fa;
      step = b - a;
      stepBefore = step;
    }
    if (Math.abs(fc) < Math.abs(fb)) {
      a = b;
      b = c;
      c = a;
      fa = fb;
      fb = fc;
      fc = fa;
    }
    const tol = 2 * Number.EPSILON * Math.abs(b) + tolerance / 2;
    const half = (c - b) / 2;
    if (Math.abs(half) <= tol || fb === 0) return solved(b);
    if (Math.abs(stepBefore) >= tol && Math.abs(fa) > Math.abs(fb)) {
      const s = fb / fa;
      let p: number;
      let q: number;
      if (a === c) {
        p = 2 * half * s;
        q = 1 - s;
      } else {
        const t = fa / fc;
        const r = fb / fc;
        p = s * (2 * half * t * (t - r) - (b - a) * (r - 1));
        q = (t - 1) * (r - 1) * (s - 1);
      }
      if (p > 0) q = -q;
      else p = -p;
      if (2 * p < Math.min(3 * half * q - Math.abs(tol * q), Math.abs(stepBefore * q))) {
        stepBefore = step;
        step = p / q;
      } else {
        step = half;
        stepBefore = half;
      }
    } else {
      step = half;
      stepBefore = half;
    }
    a = b;
    fa = fb;
    b += Math.abs(step) > tol ? step : Math.sign(half) * tol;
    fb = f(b);
    if (!Number.isFinite(fb)) return unsolved('input-out-of-range', `The function is not finite at ${b}.`);
  }
  return unsolved('no-convergence', `No root to within ${tolerance} after ${maxIterations} steps.`);
};

/** Where a falling function crosses nought, and its slope there: where to begin at a neighbouring problem. */
export interface FallingZero {
  readonly at: number;
  readonly slope: number;
}

/** Most steps of {@link fallingZero}. */
const MOST_FALLING_STEPS = 40;

/**
 * Zero of a falling function from a guess and a slope: secant steps held to what is known of its place. For functions
 * that are costly, leave their state behind (the last call is the one at the answer) and may stop short of a zero.
 *
 * @param f function of one variable [any], falling where it is above nought for smaller and below for larger arguments
 * @param low smallest answer [unit of the abscissa]; need not have a value above nought
 * @param high largest answer [unit of the abscissa]
 * @param guess where to begin, held to the range [unit of the abscissa]
 * @param slope first slope, below 0 [ordinate over abscissa]
 * @param closeAt length of the next step at which a place is good enough [unit of the abscissa], asked after each call
 * @returns place and slope; without a zero in the range the end nearer to one. Total: at most 40 steps.
 * Source: secant method with bisection as its safeguard, Press et al., Numerical Recipes, sect. 9.2 and 9.4.
 */
export const fallingZero = (
  f: (x: number) => number,
  low: number,
  high: number,
  guess: number,
  slope: number,
  closeAt: (x: number) => number,
): FallingZero => {
  let below = low;
  let above = high;
  let x = Math.min(high, Math.max(low, guess));
  let value = f(x);
  let steep = slope;
  let moved = 0;
  for (let step = 0; step < MOST_FALLING_STEPS; step++) {
    if (value > 0) below = x;
    else above = x;
    const close = closeAt(x);
    if (above - below < close) break;
    let by = -value / steep;
    if (!Number.isFinite(by)) by = 0.5 * (below + above) - x;
    // Still on the same side after a step: stride out, a slope from a jump must not make it creep.
    if (by * moved > 0 && Math.abs(by) < 2 * Math.abs(moved) && Math.abs(by) > close) by = 2 * moved;
    let next = x + by;
    if (!(next > below && next < above)) next = step === 0 ? (by > 0 ? above : below) : 0.5 * (below + above);
    if (Math.abs(next - x) < close) break;
    const nextValue = f(next);
    const secant = (nextValue - value) / (next - x);
    if (secant < 0) steep = secant;
    moved = next - x;
    x = next;
    value = nextValue;
  }
  return { at: x, slope: steep };
};

/** A place and the value there. */
export interface Minimum {
  readonly at: number;
  readonly value: number;
}

/** The golden section, (sqrt(5) - 1) / 2 [-]. */
const GOLDEN = (Math.sqrt(5) - 1) / 2;

/**
 * Least value of a function that has one valley on an interval, by golden-section search.
 *
 * @param f function of one variable [any]
 * @param low lower end [unit of the abscissa]
 * @param high upper end [unit of the abscissa]; with two valleys one of them is found
 * @returns abscissa and value. Reasons: `input-out-of-range` (ends out of order or f not finite), `no-convergence`.
 * Tolerance defaults to 1e-8 of the interval; a finer one than sqrt(epsilon) finds only rounding noise.
 * Source: Kiefer, Proc. Amer. Math. Soc. 4 (1953) 502; Press et al., Numerical Recipes, sect. 10.2.
 */
export const findMinimum = (
  f: (x: number) => number,
  low: number,
  high: number,
  options: IterationOptions = {},
): Solved<Minimum> => {
  if (!(high > low)) return unsolved('input-out-of-range', `The interval ${low} to ${high} has no length.`);
  const tolerance = options.tolerance ?? 1e-8 * (high - low);
  const maxIterations = options.maxIterations ?? 100;
  let a = low;
  let b = high;
  let x1 = b - GOLDEN * (b - a);
  let x2 = a + GOLDEN * (b - a);
  let f1 = f(x1);
  let f2 = f(x2);
  for (let i = 0; i < maxIterations; i++) {
    if (!Number.isFinite(f1) || !Number.isFinite(f2)) {
      return unsolved('input-out-of-range', `The function is not finite between ${a} and ${b}.`);
    }
    if (b - a <= tolerance) {
      const candidates = [x1, x2, low, high].map((at) => ({ at, value: at === x1 ? f1 : at === x2 ? f2 : f(at) }));
      return solved(candidates.reduce((best, next) => (next.value < best.value ? next : best)));
    }
    if (f1 < f2) {
      b = x2;
      x2 = x1;
      f2 = f1;
      x1 = b - GOLDEN * (b - a);
      f1 = f(x1);
    } else {
      a = x1;
      x1 = x2;
      f1 = f2;
      x2 = a + GOLDEN * (b - a);
      f2 = f(x2);
    }
  }
  return unsolved('no-convergence', `No minimum to within ${tolerance} after ${maxIterations} steps.`);
};

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

/** `value` held between `low` and `high` [same unit]. Definition. */
export const clamp = (value: number, low: number, high: number): number => Math.min(Math.max(value, low), high);

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
