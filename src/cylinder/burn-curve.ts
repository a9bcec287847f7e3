/** The burned share over crank angle: one Wiebe curve, or a fast and a slow one. */
import type { Cylinder } from './cylinder.ts';
import { ARG_ANGLE, BURN_LENGTH, BURN_START, DX, X } from './places.ts';

/** Wiebe curve that ends with everything burned: a = 6.908 reaches 99.9 %, scaled to 1 there; m = 2. */
const WIEBE_A = 6.908;
const WIEBE_SCALE = 1 / -Math.expm1(-WIEBE_A);
const wiebePlace = (share: number): number => Math.cbrt(-Math.log1p(-share / WIEBE_SCALE) / WIEBE_A);
/** 10 % burned over the Wiebe duration [-]. Source: inverse of Heywood (1988) eq. 9.30. */
export const WIEBE_TENTH = wiebePlace(0.1);
/** 50 % burned over the Wiebe duration [-]. Source: as {@link WIEBE_TENTH}. */
export const WIEBE_HALF = wiebePlace(0.5);
/** From 10 to 90 % burned over the Wiebe duration [-]. Source: as {@link WIEBE_TENTH}. */
export const WIEBE_RAPID = wiebePlace(0.9) - WIEBE_TENTH;

/** Rounding must not leave a last grain unburned. */
const ALMOST_ALL = 1 - 1e-9;

/**
 * Burned share and its rate [1/deg] at the angle in the arguments, into `place`.
 * Source: Heywood (1988) eq. 9.30; the sum of two curves is common practice for a slow tail.
 */
export const burn = (cylinder: Cylinder): void => {
  const { place, state, rate } = cylinder;
  const { slowShare, slowStretch } = cylinder.spec.burn;
  const after = rate[ARG_ANGLE]! - state[BURN_START]!;
  const length = state[BURN_LENGTH]!;
  let x = 1;
  let dx = 0;
  const y = after / length;
  if (y < 1 + 1e-9) {
    const left = y > 0 ? Math.exp(-WIEBE_A * y * y * y) : 1;
    x = WIEBE_SCALE * (1 - left);
    dx = y > 0 ? (WIEBE_SCALE * 3 * WIEBE_A * y * y * left) / length : 0;
  }
  if (slowShare > 0) {
    const slow = y / slowStretch;
    let xs = 1;
    let dxs = 0;
    if (slow < 1 + 1e-9) {
      const left = slow > 0 ? Math.exp(-WIEBE_A * slow * slow * slow) : 1;
      xs = WIEBE_SCALE * (1 - left);
      dxs = slow > 0 ? (WIEBE_SCALE * 3 * WIEBE_A * slow * slow * left) / (length * slowStretch) : 0;
    }
    x += slowShare * (xs - x);
    dx += slowShare * (dxs - dx);
  }
  place[X] = x > ALMOST_ALL ? 1 : x;
  place[DX] = dx;
};

/**
 * Angle at which a share is burned [deg], by halving on the curve set in the cylinder's working space.
 * Source: inverse of Heywood (1988) eq. 9.30 or of the sum of two.
 */
export const burnedAtDeg = (cylinder: Cylinder, share: number): number => {
  const { state, place, rate, spec } = cylinder;
  let low = state[BURN_START]!;
  let high = low + state[BURN_LENGTH]! * (spec.burn.slowShare > 0 ? spec.burn.slowStretch : 1);
  for (let i = 0; i < 40; i++) {
    const middle = 0.5 * (low + high);
    rate[ARG_ANGLE] = middle;
    burn(cylinder);
    if (place[X]! < share) low = middle;
    else high = middle;
  }
  return 0.5 * (low + high);
};
