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
 * Runge-Kutta method in four phases (compression, delay, burning, expansion), each of equal steps, so that kinks fall on
 * step ends and answers move smoothly with the spark.
 *
 * Left out: blow-by, crevices (part of the combustion efficiency), cycle-to-cycle spread, swirl in the wall heat.
 * Source: Heywood (1988) sect. 9.2.1 to 9.3, 14.4; Woschni, SAE 670931; Wiebe, eq. 9.30; Douaud & Eyzat, SAE 780080.
 */
import { burnedEnergy, burnedSlope } from './burned-table.ts';
import { unburnedEnthalpy } from './charge-gas.ts';
import type { Cylinder } from './cylinder.ts';

const RADIANS = Math.PI / 180;
const LOG_ATMOSPHERE = Math.log(101325);

/** Wiebe curve that ends with everything burned: a = 6.908 reaches 99.9 %, scaled to 1 there; m = 2. */
const WIEBE_A = 6.908;
const WIEBE_SCALE = 1 / -Math.expm1(-WIEBE_A);
const wiebePlace = (share: number): number => Math.cbrt(-Math.log1p(-share / WIEBE_SCALE) / WIEBE_A);
/** 10 and 50 % burned, and 10 to 90 %, over the Wiebe duration [-]. Source: inverse of Heywood (1988) eq. 9.30. */
export const WIEBE_TENTH = wiebePlace(0.1);
export const WIEBE_HALF = wiebePlace(0.5);
export const WIEBE_RAPID = wiebePlace(0.9) - WIEBE_TENTH;

/** End gas counts until this share is burned; what ignites later is too little to be heard (common practice, no source). */
export const KNOCK_UNTIL_BURNED = 0.95;
/** Douaud-Eyzat: tau = 17.68 ms (ON/100)^3.402 p^-1.7 exp(3800/T). */
export const KNOCK_SECONDS = 17.68e-3;

// Places in `state`.
export const P = 0;
export const TU = 1;
export const WORK = 2;
export const WALL = 3;
export const EVAPORATED = 4;
export const KNOCK = 5;
export const PEAK = 6;
export const PEAK_AT = 7;
export const HOT_Z = 8;
export const HOT_TU = 9;
export const ANGLE = 10;
export const BURNED = 11;
export const COSINE = 12;
export const SINE = 13;
export const LAST_AT = 14;
export const LAST_P = 15;
export const BEFORE_AT = 16;
export const BEFORE_P = 17;
export const MASS = 18;
export const SECONDS_PER_DEG = 19;
export const PISTON_TERM = 20;
export const COMBUSTION_TERM = 21;
export const MOTORED_V = 22;
export const MOTORED_P = 23;
export const EVAPORATION_PER_DEG = 24;
export const BURN_START = 25;
export const BURN_LENGTH = 26;
export const KNOCK_FACTOR = 27;

// Places in `place`.
export const V = 0;
const DV = 1;
const AREA = 2;
const COOL = 3;
const MOTORED_NOW = 4;
const X = 5;
const DX = 6;

/** What the trace sees at each step. */
export interface CycleObserver {
  readonly step: (cylinder: Cylinder) => void;
}

/** Motored pressure over that at the spark: polytropic exponent 21/16, by roots alone. */
const expanded = (ratio: number): number => {
  const quarter = Math.sqrt(Math.sqrt(ratio));
  return ratio * quarter * Math.sqrt(Math.sqrt(quarter));
};

/** Volume, slope, wetted area, area times wall temperature, motored pressure for a crank place, into `place`. */
export const locate = (cylinder: Cylinder, cosine: number, sine: number): void => {
  const { place, spec, state } = cylinder;
  const a = cylinder.crankRadiusM;
  const rod = spec.rodToCrank;
  const lean = Math.sqrt(rod * rod - sine * sine);
  const travel = a * (1 - cosine + rod - lean);
  const volume = cylinder.clearanceM3 + cylinder.boreAreaM2 * travel;
  const liner = cylinder.linerPerTravelM * (travel + cylinder.clearanceHeightM);
  place[V] = volume;
  place[DV] = RADIANS * cylinder.boreAreaM2 * a * sine * (1 + cosine / lean);
  place[AREA] = cylinder.chamberAreaM2 + liner;
  place[COOL] = cylinder.chamberAreaM2 * spec.chamberWallK + liner * spec.linerWallK;
  // Zero before the spark: no combustion term there.
  place[MOTORED_NOW] = state[MOTORED_V]! > 0 ? state[MOTORED_P]! * expanded(state[MOTORED_V]! / volume) : 0;
};

/** Rates over crank angle [per deg] at the place located: pressure, unburned temperature, wall heat; into `rate`. */
const rates = (cylinder: Cylinder, p: number, tu: number, x: number, dx: number): void => {
  const { gas, state, place, rate } = cylinder;
  const mass = state[MASS]!;
  const volume = place[V]!;
  const area = place[AREA]!;
  const ru = gas.unburnedGasConstant;
  const pv = p * volume;
  const tm = pv / (mass * (ru + x * (gas.burnedGasConstant - ru)));

  // Woschni; T^-0.55 = (T^(11/16))^-0.8, and T^(11/16) by roots.
  let w = state[PISTON_TERM]!;
  const motored = place[MOTORED_NOW]!;
  if (motored > 0 && p > motored) w += state[COMBUSTION_TERM]! * (p - motored);
  const half = Math.sqrt(tm);
  const eighth = Math.sqrt(Math.sqrt(half));
  const h =
    cylinder.wallFactor *
    state[SECONDS_PER_DEG]! *
    Math.exp(0.8 * Math.log((p * 1e-3 * w) / (half * eighth * Math.sqrt(eighth))));
  const q = h * (area * tm - place[COOL]!);
  rate[2] = q;
  const evaporation = state[EVAPORATION_PER_DEG]!;

  if (x >= 1) {
    const g = burnedSlope(gas.burned.values, pv / mass);
    rate[0] = (-(1 + g) * p * place[DV]! - q) / (volume * g);
    rate[1] = 0;
    return;
  }
  const t = tu * 1e-3;
  const cp = gas.c0 + t * (gas.c1 + t * (gas.c2 + t * gas.c3));
  if (x <= 0) {
    const loss = q + evaporation;
    const dp = (-cp * p * place[DV]! - ru * loss) / ((cp - ru) * volume);
    rate[0] = dp;
    rate[1] = (volume * dp - loss) / (mass * cp);
    return;
  }
  const mb = mass * x;
  const mu = mass - mb;
  const uu = unburnedEnthalpy(gas, tu) - ru * tu;
  const unburnedPv = mu * ru * tu;
  const unburnedVolume = unburnedPv / p;
  let z = (pv - unburnedPv) / mb;
  // A first trace of burned gas is the difference of near-equal numbers; its energy hardly matters, so it is only held.
  if (!(z > 3e5)) z = 3e5;
  else if (z > 1.3e6) z = 1.3e6;
  const { values } = gas.burned;
  const g = burnedSlope(values, z);
  const ub = burnedEnergy(values, z);
  // The flame takes the wall with the root of its mass share (common practice, no source).
  const unburnedLoss = h * (1 - Math.sqrt(x)) * (area * tu - place[COOL]!);
  const coupling = (cp - ru - ru * g) / cp;
  const dp =
    (-(1 + g) * p * place[DV]! - q + coupling * unburnedLoss + (g * (z - ru * tu) - ub + uu) * mass * dx) /
    (volume * g + coupling * unburnedVolume);
  rate[0] = dp;
  rate[1] = (unburnedVolume * dp - unburnedLoss) / (mu * cp);
};

/** Burned share and its rate [1/deg] at an angle, into `place`. */
const burn = (cylinder: Cylinder, angle: number): void => {
  const { place, state } = cylinder;
  const { slowShare, slowStretch } = cylinder.spec.burn;
  const after = angle - state[BURN_START]!;
  const length = state[BURN_LENGTH]!;
  let x = 1;
  let dx = 0;
  const y = after / length;
  if (y < 1 - 1e-12) {
    const left = y > 0 ? Math.exp(-WIEBE_A * y * y * y) : 1;
    x = WIEBE_SCALE * (1 - left);
    dx = y > 0 ? (WIEBE_SCALE * 3 * WIEBE_A * y * y * left) / length : 0;
  }
  if (slowShare > 0) {
    const slow = y / slowStretch;
    let xs = 1;
    let dxs = 0;
    if (slow < 1 - 1e-12) {
      const left = slow > 0 ? Math.exp(-WIEBE_A * slow * slow * slow) : 1;
      xs = WIEBE_SCALE * (1 - left);
      dxs = slow > 0 ? (WIEBE_SCALE * 3 * WIEBE_A * slow * slow * left) / (length * slowStretch) : 0;
    }
    x += slowShare * (xs - x);
    dx += slowShare * (dxs - dx);
  }
  place[X] = x;
  place[DX] = dx;
};

/** Rate of the knock integral [1/deg]. */
const knockRate = (state: Float64Array, p: number, tu: number): number =>
  state[KNOCK_FACTOR]! * Math.exp(1.7 * (Math.log(p) - LOG_ATMOSPHERE) - 3800 / tu);

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

/** Runge-Kutta steps from the angle reached to `to`; `burning` moves the burned share, otherwise it stays. */
export const advance = (
  cylinder: Cylinder,
  to: number,
  steps: number,
  burning: boolean,
  observer: CycleObserver | null,
): void => {
  const { state, place, rate, gas } = cylinder;
  const length = to - state[ANGLE]!;
  if (!(length > 0)) return;
  const start = state[ANGLE]!;
  const h = length / steps;
  const halfCosine = Math.cos(0.5 * h * RADIANS);
  const halfSine = Math.sin(0.5 * h * RADIANS);
  let cosine = state[COSINE]!;
  let sine = state[SINE]!;
  let p = state[P]!;
  let tu = state[TU]!;
  let work = state[WORK]!;
  let wall = state[WALL]!;
  const evaporation = state[EVAPORATION_PER_DEG]!;
  locate(cylinder, cosine, sine);
  let x = state[BURNED]!;
  let dx = 0;
  if (burning) {
    burn(cylinder, start);
    dx = place[DX]!;
  }
  let knockBefore = x < KNOCK_UNTIL_BURNED ? knockRate(state, p, tu) : 0;
  for (let i = 1; i <= steps; i++) {
    const dv0 = place[DV]!;
    rates(cylinder, p, tu, x, dx);
    const p1 = rate[0]!;
    const t1 = rate[1]!;
    const q1 = rate[2]!;
    const middleCosine = cosine * halfCosine - sine * halfSine;
    const middleSine = sine * halfCosine + cosine * halfSine;
    locate(cylinder, middleCosine, middleSine);
    const dvm = place[DV]!;
    let xm = x;
    let dxm = 0;
    if (burning) {
      burn(cylinder, start + (i - 0.5) * h);
      xm = place[X]!;
      dxm = place[DX]!;
    }
    const pa = p + 0.5 * h * p1;
    rates(cylinder, pa, tu + 0.5 * h * t1, xm, dxm);
    const p2 = rate[0]!;
    const t2 = rate[1]!;
    const q2 = rate[2]!;
    const pb = p + 0.5 * h * p2;
    const tb = tu + 0.5 * h * t2;
    rates(cylinder, pb, tb, xm, dxm);
    const p3 = rate[0]!;
    const t3 = rate[1]!;
    const q3 = rate[2]!;
    cosine = middleCosine * halfCosine - middleSine * halfSine;
    sine = middleSine * halfCosine + middleCosine * halfSine;
    locate(cylinder, cosine, sine);
    let x1 = x;
    let dx1 = 0;
    if (burning) {
      burn(cylinder, start + i * h);
      x1 = place[X]!;
      dx1 = place[DX]!;
    }
    const pc = p + h * p3;
    rates(cylinder, pc, tu + h * t3, x1, dx1);
    const p0 = p;
    p += (h / 6) * (p1 + 2 * (p2 + p3) + rate[0]!);
    tu += (h / 6) * (t1 + 2 * (t2 + t3) + rate[1]!);
    wall += (h / 6) * (q1 + 2 * (q2 + q3) + rate[2]!);
    work += (h / 6) * (p0 * dv0 + 2 * dvm * (pa + pb) + pc * place[DV]!);

    if (x < KNOCK_UNTIL_BURNED) {
      const middle = knockRate(state, pb, tb);
      const after = knockRate(state, p, tu);
      if (x1 <= KNOCK_UNTIL_BURNED) state[KNOCK]! += (h / 6) * (knockBefore + 4 * middle + after);
      else state[KNOCK]! += h * partOfParabola(knockBefore, middle, after, shareOfStep(x, xm, x1));
      knockBefore = after;
      if (tu > state[HOT_TU]!) state[HOT_TU] = tu;
    }
    state[BEFORE_AT] = state[LAST_AT]!;
    state[BEFORE_P] = state[LAST_P]!;
    state[LAST_AT] = state[ANGLE]!;
    state[LAST_P] = p0;
    state[ANGLE] = start + i * h;
    state[P] = p;
    watchPeak(state);
    if (x1 > 0.02) {
      const z = (p * place[V]! - gas.massKg * (1 - x1) * gas.unburnedGasConstant * tu) / (gas.massKg * x1);
      if (z > state[HOT_Z]!) state[HOT_Z] = z;
    }
    x = x1;
    dx = dx1;
    if (observer) {
      state[TU] = tu;
      state[WORK] = work;
      state[WALL] = wall;
      state[BURNED] = x;
      observer.step(cylinder);
    }
  }
  state[COSINE] = cosine;
  state[SINE] = sine;
  state[TU] = tu;
  state[WORK] = work;
  state[WALL] = wall;
  state[EVAPORATED]! += evaporation * length;
  state[BURNED] = x;
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
