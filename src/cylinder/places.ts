/**
 * Working space of the integration: what stands where in a cylinder's arrays, and the crank's geometry.
 *
 * Numbers live in typed arrays and not in variables handed about, since a number handed to a function that is not inlined
 * is allocated each time.
 */
import type { Cylinder } from './cylinder.ts';

const RADIANS = Math.PI / 180;

// Places in `state` [Pa, K, J, deg, kg, -].
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
export const FLAME_Z = 28;
export const FLAME_SLOPE = 29;
export const FLAME_TU = 30;

// Places in `place`.
export const V = 0;
export const DV = 1;
export const AREA = 2;
export const COOL = 3;
export const MOTORED_NOW = 4;
export const X = 5;
export const DX = 6;

// Places in `rate`: results, arguments, the wall coefficient at the start of the step.
export const RATE_P = 0;
export const RATE_TU = 1;
export const RATE_Q = 2;
export const ARG_P = 3;
export const ARG_TU = 4;
export const ARG_X = 5;
export const ARG_DX = 6;
export const ANCHOR_PW = 7;
export const ANCHOR_T = 8;
export const ANCHOR_H = 9;
export const RATE_KNOCK = 10;
export const ARG_ANGLE = 11;

/** Motored pressure over that at the spark: polytropic exponent 21/16, by roots alone. */
const expanded = (ratio: number): number => {
  const quarter = Math.sqrt(Math.sqrt(ratio));
  return ratio * quarter * Math.sqrt(Math.sqrt(quarter));
};

/**
 * Volume, slope, wetted area, area times wall temperature, motored pressure at the crank's place, into `place`.
 * Source: Heywood (1988) eq. 2.4 to 2.8.
 */
export const locate = (cylinder: Cylinder): void => {
  const { place, spec, state } = cylinder;
  const cosine = state[COSINE]!;
  const sine = state[SINE]!;
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

/** Turns the crank on by an angle of given cosine and sine. */
export const turn = (state: Float64Array, byCosine: number, bySine: number): void => {
  const cosine = state[COSINE]!;
  const sine = state[SINE]!;
  state[COSINE] = cosine * byCosine - sine * bySine;
  state[SINE] = sine * byCosine + cosine * bySine;
};
