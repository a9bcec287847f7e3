/**
 * How long a charge takes to burn: flame development (spark to 10 %) and rapid burning (10 to 90 %).
 *
 * Both scale from a base state with (Sp nu)^(1/3) (h / SL)^(2/3), with mean piston speed Sp, viscosity nu of the unburned
 * gas, clearance height h and laminar burning speed SL: Hires, Tabaczynski & Novak, SAE 780232; Heywood (1988) eq. 9.50
 * and 9.51 (exponents and form from memory). Changes relative to a base state by the laminar speed: Lindström et al.,
 * SAE 2005-01-2106. Laminar speed of petrol: Metghalchi & Keck (1982), Rhodes & Keck (1985); Heywood eq. 9.33 to 9.38
 * with table 9.3 (from memory). Other fuels take petrol's, which leaves out that alcohols burn up to a fifth faster.
 */

/** Petrol by equivalence ratio [m/s], Bm + B2 (phi - phim)^2. Source: Heywood (1988) table 9.3, gasoline. */
const PETROL_SPEED = { most: 0.305, curvature: -0.549, at: 1.21 } as const;
/** Slowest flame taken [m/s]; below it the mixture misfires, which is not modelled. */
const SLOWEST_FLAME = 0.04;
/** Beyond this equivalence ratio the exponents are held; the fits end there. */
const RICHEST_FITTED = 1.4;

/**
 * Laminar burning speed of petrol.
 *
 * @param lambda relative air-fuel ratio [-], fitted 0.7 to 1.25
 * @param unburnedK [K], fitted 298 to 700
 * @param pressurePa [Pa], fitted 40 to 5000 kPa
 * @param diluentMoleShare burned gas and injected water in the unburned mixture [mol/mol], fitted to 0.3
 * @returns [m/s], held above 0.01
 * Source: Metghalchi & Keck; Heywood (1988) eq. 9.33 to 9.38 and table 9.3 (from memory).
 */
export const laminarSpeedMPerS = (
  lambda: number,
  unburnedK: number,
  pressurePa: number,
  diluentMoleShare: number,
): number => {
  const phi = 1 / lambda;
  const held = Math.min(phi, RICHEST_FITTED);
  const off = phi - PETROL_SPEED.at;
  const base = Math.max(SLOWEST_FLAME, PETROL_SPEED.most + PETROL_SPEED.curvature * off * off);
  const logPhi = Math.log(held);
  const alpha = 2.4 - 0.271 * Math.exp(3.51 * logPhi);
  const beta = -0.357 + 0.14 * Math.exp(2.77 * logPhi);
  const dilution = diluentMoleShare > 1e-6 ? 1 - 2.06 * Math.exp(0.77 * Math.log(diluentMoleShare)) : 1;
  const speed =
    base *
    Math.exp(alpha * Math.log(unburnedK / 298) + beta * Math.log(pressurePa / 101325)) *
    Math.max(0.12, dilution);
  return Math.max(speed, 0.01);
};

/** Kinematic viscosity of the unburned gas [m2/s], mu ~ T^0.7 as air, with its density from pressure and gas constant. */
const kinematicViscosity = (unburnedK: number, pressurePa: number, gasConstant: number): number =>
  (3.3e-7 * Math.exp(0.7 * Math.log(unburnedK)) * gasConstant * unburnedK) / pressurePa;

/** The state at which {@link USUAL_BURN} holds: 86 mm stroke at 2000 rpm, ratio 10, full load unboosted, stoichiometric. */
export const BURN_BASE = {
  /** [m/s] */
  meanPistonSpeed: 5.733,
  /** [m] */
  clearanceHeight: 0.086 / 9,
  lambda: 1,
  /** [mol/mol] */
  diluent: 0.05,
  /** [J/(kg K)] */
  gasConstant: 277,
  /** Unburned gas at the spark [K, Pa]. */
  sparkK: 650,
  sparkPa: 0.95e6,
  /** Motored gas where half is burned [K, Pa]. */
  halfK: 725,
  halfPa: 1.65e6,
} as const;

/**
 * Usual four-valve engine at {@link BURN_BASE} [deg]. Source: common practice for engines with four valves and a central
 * plug; older two-valve chambers take a quarter to a half longer (Heywood (1988) sect. 9.3.3 and 15.4).
 */
export const USUAL_BURN = { developmentDeg: 18, rapidDeg: 21, slowShare: 0, slowStretch: 2 } as const;

/**
 * What crank angles of burning go with, (Sp nu h2 / SL2)^(1/3).
 *
 * @param pistonSpeed mean [m/s]
 * @param clearanceHeight clearance volume over bore area [m]
 * @param lambda [-]
 * @param unburnedK [K]
 * @param pressurePa [Pa]
 * @param diluent [mol/mol]
 * @param gasConstant of the unburned gas [J/(kg K)]
 * @returns [m^(4/3) s^(...)] only its ratio to another matters
 * Source: Hires et al., SAE 780232; Heywood (1988) eq. 9.50, 9.51 (from memory).
 */
export const burnScale = (
  pistonSpeed: number,
  clearanceHeight: number,
  lambda: number,
  unburnedK: number,
  pressurePa: number,
  diluent: number,
  gasConstant: number,
): number => {
  const flow = pistonSpeed * kinematicViscosity(unburnedK, pressurePa, gasConstant);
  const height = clearanceHeight / laminarSpeedMPerS(lambda, unburnedK, pressurePa, diluent);
  return Math.cbrt(flow * height * height);
};

const baseScale = (temperatureK: number, pressurePa: number): number =>
  burnScale(
    BURN_BASE.meanPistonSpeed,
    BURN_BASE.clearanceHeight,
    BURN_BASE.lambda,
    temperatureK,
    pressurePa,
    BURN_BASE.diluent,
    BURN_BASE.gasConstant,
  );

/** {@link burnScale} at the base state, at the spark and where half is burned. Source: {@link BURN_BASE}. */
export const DEVELOPMENT_BASE_SCALE = baseScale(BURN_BASE.sparkK, BURN_BASE.sparkPa);
export const RAPID_BASE_SCALE = baseScale(BURN_BASE.halfK, BURN_BASE.halfPa);
