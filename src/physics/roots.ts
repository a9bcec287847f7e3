/** Where a function of one variable is nought: bracketed search, and secant steps for costly falling functions. */
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
