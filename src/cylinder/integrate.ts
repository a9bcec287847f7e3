/**
 * The closed cycle of one cylinder, from intake closing to exhaust opening, crank angle by crank angle.
 *
 * Two zones of one pressure. State: pressure p, unburned temperature Tu; quadratures: work, wall heat, knock. With masses
 * mu, mb, burned energy ub(z) of z = p v, its slope g, and
 *   energy   d(mu uu + mb ub) = -p dV - dQ - dQevap
 *   volume   p V = mu Ru Tu + mb z
 *   unburned mu cpu dTu = Vu dp - dQu - dQevap
 * follows one line for the pressure:
 *   [V g + (cvu - Ru g) Vu / cpu] dp = -(1 + g) p dV - dQ + (cvu - Ru g) dQu / cpu + [g (z - Ru Tu) - ub + uu] dmb.
 * The heat set free is inside ub - uu, since both carry their heats of formation. Integrated by the classical fourth-order
 * Runge-Kutta method in four phases (compression, delay, burning, expansion), each of a fixed number of steps, so that kinks
 * fall on step ends and answers move smoothly with the spark.
 *
 * Left out: blow-by, crevices (part of the combustion efficiency), cycle-to-cycle spread, swirl in the wall heat.
 * Source: Heywood (1988) sect. 9.2.1 to 9.3, 14.4; Woschni, SAE 670931; Wiebe, eq. 9.30; Douaud & Eyzat, SAE 780080.
 */

import { burn } from './burn-curve.ts';
import { BURNED_FROM, BURNED_NODES, BURNED_STEP } from './burned-table.ts';
import type { Cylinder } from './cylinder.ts';
import {
  ANCHOR_H,
  ANCHOR_PW,
  ANCHOR_T,
  ANGLE,
  AREA,
  ARG_ANGLE,
  ARG_DX,
  ARG_P,
  ARG_TU,
  ARG_X,
  BEFORE_AT,
  BEFORE_P,
  BURNED,
  COMBUSTION_TERM,
  COOL,
  DV,
  DX,
  EVAPORATED,
  EVAPORATION_PER_DEG,
  FLAME_SLOPE,
  FLAME_TU,
  FLAME_Z,
  HOT_TU,
  HOT_Z,
  KNOCK,
  KNOCK_FACTOR,
  LAST_AT,
  LAST_P,
  locate,
  MASS,
  MOTORED_NOW,
  P,
  PEAK,
  PEAK_AT,
  PISTON_TERM,
  RATE_KNOCK,
  RATE_P,
  RATE_Q,
  RATE_TU,
  SECONDS_PER_DEG,
  TU,
  turn,
  V,
  WALL,
  WORK,
  X,
} from './places.ts';

const RADIANS = Math.PI / 180;
const LOG_ATMOSPHERE = Math.log(101325);

/** End gas counts until this share is burned [-]; what ignites later is too little to be heard (common practice, no source). */
export const KNOCK_UNTIL_BURNED = 0.95;
/** Scale of the ignition delay [s]: tau = 17.68 ms (ON/100)^3.402 p^-1.7 exp(3800/T). Source: Douaud & Eyzat, SAE 780080. */
export const KNOCK_SECONDS = 17.68e-3;

/** Burned gas is held between these z [J/kg], about 1000 and 4300 K, and the table runs straight on from its last interval. */
const LEAST_BURNED_Z = 1.2e5;
const MOST_BURNED_Z = 1.3e6;
const LAST_INTERVAL = BURNED_NODES - 2;
const LOG_THOUSAND = Math.log(1000);
/** Below this burned share the burned gas is taken as just burned; what this neglects is second order in its compression. */
const TRACE_BURNED = 0.01;

/** What the trace sees at each step. */
export interface CycleObserver {
  readonly step: (cylinder: Cylinder) => void;
}

/**
 * Woschni's coefficient times the time of a degree, into `rate`, with the product and temperature that it belongs to.
 * Within a step the coefficient follows from this one by short series, which spares two of three transcendental functions.
 * Source: Woschni, SAE 670931; Heywood (1988) eq. 12.19, 12.20.
 */
export const anchorWall = (cylinder: Cylinder): void => {
  const { gas, state, place, rate } = cylinder;
  const p = rate[ARG_P]!;
  const ru = gas.unburnedGasConstant;
  const tm = (p * place[V]!) / (state[MASS]! * (ru + rate[ARG_X]! * (gas.burnedGasConstant - ru)));
  const motored = place[MOTORED_NOW]!;
  let w = state[PISTON_TERM]!;
  if (motored > 0 && p > motored) w += state[COMBUSTION_TERM]! * (p - motored);
  rate[ANCHOR_PW] = p * w;
  rate[ANCHOR_T] = tm;
  rate[ANCHOR_H] =
    cylinder.wallFactor *
    state[SECONDS_PER_DEG]! *
    Math.exp(0.8 * (Math.log(p * w) - LOG_THOUSAND) - 0.55 * Math.log(tm));
};

/**
 * Rates over crank angle [per deg] at the place located, of pressure, unburned temperature and wall heat, into `rate`.
 * Arguments stand in `rate` too: numbers handed to a function that is not inlined would each be allocated.
 */
const rates = (cylinder: Cylinder): void => {
  const { gas, state, place, rate } = cylinder;
  const p = rate[ARG_P]!;
  const tu = rate[ARG_TU]!;
  const x = rate[ARG_X]!;
  const mass = state[MASS]!;
  const volume = place[V]!;
  const area = place[AREA]!;
  const cool = place[COOL]!;
  const ru = gas.unburnedGasConstant;
  const pv = p * volume;
  const tm = pv / (mass * (ru + x * (gas.burnedGasConstant - ru)));
  const motored = place[MOTORED_NOW]!;
  let w = state[PISTON_TERM]!;
  if (motored > 0 && p > motored) w += state[COMBUSTION_TERM]! * (p - motored);
  const d = (p * w) / rate[ANCHOR_PW]! - 1;
  const e = tm / rate[ANCHOR_T]! - 1;
  let h = rate[ANCHOR_H]!;
  if (d < 0.3 && d > -0.3 && e < 0.2 && e > -0.2) {
    // (1 + d)^0.8 and (1 + e)^-0.55, binomial series to terms below 1e-5.
    h *=
      (1 + d * (0.8 - d * (0.08 - d * (0.032 - d * (0.0176 - d * (0.011264 - d * 0.00788)))))) *
      (1 - e * (0.55 - e * (0.42625 - e * (0.362313 - e * (0.321553 - e * 0.292613)))));
  } else h *= Math.exp(0.8 * Math.log(1 + d) - 0.55 * Math.log(1 + e));
  const q = h * (area * tm - cool);
  rate[RATE_Q] = q;
  const boundary = p * place[DV]!;

  let g = 0;
  let ub = 0;
  let z = 0;
  const t = tu * 1e-3;
  const cp = gas.c0 + t * (gas.c1 + t * (gas.c2 + t * gas.c3));
  if (x > 0) {
    const mb = mass * x;
    // The first trace of burned gas would be a difference of near-equal numbers: it is the gas just burned, at the
    // unburned mixture's enthalpy.
    z =
      x < TRACE_BURNED
        ? state[FLAME_Z]! + state[FLAME_SLOPE]! * (tu - state[FLAME_TU]!)
        : x < 1
          ? (pv - (mass - mb) * ru * tu) / mb
          : pv / mass;
    if (!(z > LEAST_BURNED_Z)) z = LEAST_BURNED_Z;
    else if (z > MOST_BURNED_Z) z = MOST_BURNED_Z;
    const { values } = gas.burned;
    const at = (z - BURNED_FROM) * (1 / BURNED_STEP);
    const i = at > LAST_INTERVAL ? LAST_INTERVAL : Math.floor(at);
    const f = at - i;
    const u0 = values[i]!;
    const s0 = BURNED_STEP * values[BURNED_NODES + i]!;
    const s1 = BURNED_STEP * values[BURNED_NODES + i + 1]!;
    const rise = values[i + 1]! - u0;
    const b = 3 * rise - 2 * s0 - s1;
    const c = s0 + s1 - 2 * rise;
    ub = u0 + f * (s0 + f * (b + f * c));
    g = (s0 + f * (2 * b + 3 * f * c)) * (1 / BURNED_STEP);
    if (x >= 1 && rate[ARG_DX] === 0) {
      rate[RATE_P] = (-(1 + g) * boundary - q) / (volume * g);
      rate[RATE_TU] = 0;
      return;
    }
    const unburnedVolume = ((mass - mb) * ru * tu) / p;
    const uu =
      gas.enthalpyConstant + tu * (gas.c0 - ru + t * (gas.c1 * 0.5 + t * (gas.c2 * (1 / 3) + t * gas.c3 * 0.25)));
    // The flame takes the wall with the root of its mass share (common practice, no source).
    const unburnedLoss = h * (1 - Math.sqrt(x)) * (area * tu - cool);
    const coupling = (cp - ru - ru * g) / cp;
    const dp =
      (-(1 + g) * boundary - q + coupling * unburnedLoss + (g * (z - ru * tu) - ub + uu) * mass * rate[ARG_DX]!) /
      (volume * g + coupling * unburnedVolume);
    rate[RATE_P] = dp;
    // At the very end of burning there is no unburned gas left to warm.
    rate[RATE_TU] = x < 1 ? (unburnedVolume * dp - unburnedLoss) / ((mass - mb) * cp) : 0;
    return;
  }
  const loss = q + state[EVAPORATION_PER_DEG]!;
  const dp = (-cp * boundary - ru * loss) / ((cp - ru) * volume);
  rate[RATE_P] = dp;
  rate[RATE_TU] = (volume * dp - loss) / (mass * cp);
};

/**
 * Rate of the knock integral [1/deg] at the pressure and temperature in the arguments, into `rate`.
 * Source: Douaud & Eyzat, SAE 780080; Livengood & Wu (1955).
 */
export const knock = (cylinder: Cylinder): void => {
  const { state, rate } = cylinder;
  rate[RATE_KNOCK] =
    state[KNOCK_FACTOR]! * Math.exp(1.7 * (Math.log(rate[ARG_P]!) - LOG_ATMOSPHERE) - 3800 / rate[ARG_TU]!);
};

/** Highest pressure by a parabola through the last three steps, when the middle one is highest so far. */
const watchPeak = (state: Float64Array): void => {
  const p0 = state[BEFORE_P]!;
  const p1 = state[LAST_P]!;
  const p2 = state[P]!;
  if (!(p1 >= p0 && p1 >= p2 && p1 > state[PEAK]!)) return;
  const a0 = state[BEFORE_AT]! - state[LAST_AT]!;
  const a2 = state[ANGLE]! - state[LAST_AT]!;
  const s0 = (p0 - p1) / a0;
  const s2 = (p2 - p1) / a2;
  const curvature = (s2 - s0) / (a2 - a0);
  const slope = s0 - curvature * a0;
  const at = curvature < 0 ? -slope / (2 * curvature) : 0;
  state[PEAK] = p1 + at * (slope + curvature * at);
  state[PEAK_AT] = state[LAST_AT]! + at;
};

/** Highest burned z so far, for the highest burned temperature. */
const watchHeat = (cylinder: Cylinder): void => {
  const { state, place, gas } = cylinder;
  const x = state[BURNED]!;
  const mass = state[MASS]!;
  const z = (state[P]! * place[V]! - mass * (1 - x) * gas.unburnedGasConstant * state[TU]!) / (mass * x);
  if (z > state[HOT_Z]!) state[HOT_Z] = z;
};

/**
 * Runge-Kutta steps from the angle reached to `to`.
 *
 * @param cylinder with its state set
 * @param to end of the phase [deg]
 * @param steps how many [-]
 * @param grading first step over the mean less one, and mean less the last [-]: 0 for equal steps, above 0 ever smaller ones
 * @param burning moves the burned share by its curve; otherwise it stays
 * @param knockFrom first step whose knock counts [-]; before, the gas is too cold to add a thousandth
 * @param observer sees every step, or null
 * Source: classical fourth-order Runge-Kutta method; Simpson's rule is its form for the quadratures.
 */
export const advance = (
  cylinder: Cylinder,
  to: number,
  steps: number,
  grading: number,
  burning: boolean,
  knockFrom: number,
  observer: CycleObserver | null,
): void => {
  const { state, place, rate } = cylinder;
  const start = state[ANGLE]!;
  const length = to - start;
  if (!(length > 0)) return;
  let halfCosine = Math.cos(0.5 * (length / steps) * RADIANS);
  let halfSine = Math.sin(0.5 * (length / steps) * RADIANS);
  let h = length / steps;
  let from = 0;
  let p = state[P]!;
  let tu = state[TU]!;
  let x = state[BURNED]!;
  let dx = 0;
  locate(cylinder);
  if (burning) {
    rate[ARG_ANGLE] = start;
    burn(cylinder);
    dx = place[DX]!;
  }
  let knockBefore = -1;
  for (let i = 1; i <= steps; i++) {
    const share = i / steps;
    const until = length * share * (1 + grading - grading * share);
    if (grading !== 0) {
      h = until - from;
      halfCosine = Math.cos(0.5 * h * RADIANS);
      halfSine = Math.sin(0.5 * h * RADIANS);
    }
    const sixth = h / 6;
    rate[ARG_P] = p;
    rate[ARG_TU] = tu;
    rate[ARG_X] = x;
    rate[ARG_DX] = dx;
    anchorWall(cylinder);
    let workSum = p * place[DV]!;
    rates(cylinder);
    const p1 = rate[RATE_P]!;
    const t1 = rate[RATE_TU]!;
    let wallSum = rate[RATE_Q]!;

    turn(state, halfCosine, halfSine);
    locate(cylinder);
    if (burning) {
      rate[ARG_ANGLE] = start + from + 0.5 * h;
      burn(cylinder);
      rate[ARG_X] = place[X]!;
      rate[ARG_DX] = place[DX]!;
    }
    const xm = rate[ARG_X]!;
    const pa = p + 0.5 * h * p1;
    rate[ARG_P] = pa;
    rate[ARG_TU] = tu + 0.5 * h * t1;
    rates(cylinder);
    const p2 = rate[RATE_P]!;
    const t2 = rate[RATE_TU]!;
    wallSum += 2 * rate[RATE_Q]!;

    const pb = p + 0.5 * h * p2;
    const tb = tu + 0.5 * h * t2;
    rate[ARG_P] = pb;
    rate[ARG_TU] = tb;
    rates(cylinder);
    const p3 = rate[RATE_P]!;
    const t3 = rate[RATE_TU]!;
    wallSum += 2 * rate[RATE_Q]!;
    workSum += 2 * (pa + pb) * place[DV]!;

    turn(state, halfCosine, halfSine);
    locate(cylinder);
    if (burning) {
      rate[ARG_ANGLE] = start + until;
      burn(cylinder);
      rate[ARG_X] = place[X]!;
      rate[ARG_DX] = place[DX]!;
    }
    const x1 = rate[ARG_X]!;
    const pc = p + h * p3;
    rate[ARG_P] = pc;
    rate[ARG_TU] = tu + h * t3;
    rates(cylinder);
    wallSum += rate[RATE_Q]!;
    workSum += pc * place[DV]!;

    state[BEFORE_AT] = state[LAST_AT]!;
    state[BEFORE_P] = state[LAST_P]!;
    state[LAST_AT] = state[ANGLE]!;
    state[LAST_P] = p;
    const pBefore = p;
    const tuBefore = tu;
    p += sixth * (p1 + 2 * (p2 + p3) + rate[RATE_P]!);
    tu += sixth * (t1 + 2 * (t2 + t3) + rate[RATE_TU]!);
    state[WALL]! += sixth * wallSum;
    state[WORK]! += sixth * workSum;
    state[ANGLE] = start + until;
    state[P] = p;
    state[TU] = tu;
    state[BURNED] = x1;
    if (i >= knockFrom && x < KNOCK_UNTIL_BURNED) {
      // Middle of the step by the cubic through both ends.
      const p4 = rate[RATE_P]!;
      const t4 = rate[RATE_TU]!;
      if (knockBefore < 0) {
        rate[ARG_P] = pBefore;
        rate[ARG_TU] = tuBefore;
        knock(cylinder);
        knockBefore = rate[RATE_KNOCK]!;
      }
      rate[ARG_P] = 0.5 * (pBefore + p) + 0.125 * h * (p1 - p4);
      rate[ARG_TU] = 0.5 * (tuBefore + tu) + 0.125 * h * (t1 - t4);
      knock(cylinder);
      const middle = rate[RATE_KNOCK]!;
      rate[ARG_P] = p;
      rate[ARG_TU] = tu;
      knock(cylinder);
      const after = rate[RATE_KNOCK]!;
      if (x1 <= KNOCK_UNTIL_BURNED) state[KNOCK]! += sixth * (knockBefore + 4 * middle + after);
      else state[KNOCK]! += h * partOfParabola(knockBefore, middle, after, shareOfStep(x, xm, x1));
      knockBefore = after;
      if (tu > state[HOT_TU]!) state[HOT_TU] = tu;
    }
    watchPeak(state);
    if (x1 > 0.02) watchHeat(cylinder);
    x = x1;
    dx = rate[ARG_DX]!;
    from = until;
    if (observer) observer.step(cylinder);
  }
  state[EVAPORATED]! += state[EVAPORATION_PER_DEG]! * length;
};

/** Where in a step the knock's last share is reached: root of the parabola through the burned shares. */
const shareOfStep = (x0: number, xm: number, x1: number): number => {
  const c = 2 * (x1 + x0 - 2 * xm);
  const b = x1 - x0 - c;
  const need = KNOCK_UNTIL_BURNED - x0;
  const root = (2 * need) / (b + Math.sqrt(Math.max(0, b * b + 4 * c * need)));
  return root < 0 ? 0 : Math.min(root, 1);
};

/** Integral from 0 to `share` of the parabola through values at 0, 1/2 and 1. */
const partOfParabola = (f0: number, fm: number, f1: number, share: number): number => {
  const c = 2 * (f1 + f0 - 2 * fm);
  const b = f1 - f0 - c;
  return share * (f0 + share * (b / 2 + (share * c) / 3));
};
