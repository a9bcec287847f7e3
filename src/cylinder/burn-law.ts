/**
 * How long a charge takes to burn: flame development (spark to 10 %) and rapid burning (10 to 90 %).
 *
 * Both scale from a base state with Sp^0.2 nu^(1/3) (L / SL)^(2/3), with mean piston speed Sp, viscosity nu of the unburned
 * gas, a length L of the chamber and laminar burning speed SL: Hires, Tabaczynski & Novak, SAE 780232; Heywood (1988)
 * eq. 9.50 and 9.51 (form and exponents from memory). Scaling from a base state by the laminar speed: Lindström et al.,
 * SAE 2005-01-2106. Laminar speed of petrol: Metghalchi & Keck (1982), Rhodes & Keck (1985); Heywood eq. 9.33 to 9.38
 * with table 9.3 (from memory).
 *
 * Three departures. The speed has 0.2 and not 1/3, see below. The length is the bore and not the clearance height, which would have ratio 13 burn twice as fast as
 * ratio 9; that is not seen. And the gas is looked at halfway through the development and where half is burned, on the
 * motored curve, and not at the spark alone, since an early spark meets warmer gas as it goes on.
 * Other fuels take petrol's laminar speed, which leaves out that alcohols burn up to a fifth faster.
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

/**
 * The state at which {@link USUAL_BURN} holds [SI]: 86 mm bore and stroke, 2000 rpm, ratio 10, full load unboosted,
 * stoichiometric.
 */
const BURN_BASE = {
  /** [m/s] */
  meanPistonSpeed: 5.733,
  boreM: 0.086,
  lambda: 1,
  /** [mol/mol] */
  diluent: 0.04,
  /** [J/(kg K)] */
  gasConstant: 277,
  /** Motored gas halfway through the development [K, Pa]. */
  developmentK: 690,
  developmentPa: 1.35e6,
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
 * Exponent of the speed [-]. Hires' third fits open two-valve chambers; four-valve chambers, whose tumble breaks up near the
 * spark, lengthen by about a quarter from 2000 to 6000 rpm (common practice, no source).
 */
const SPEED_EXPONENT = 0.2;

/**
 * What crank angles of burning go with, Sp^0.2 (nu L2 / SL2)^(1/3).
 *
 * @param pistonSpeed mean [m/s]
 * @param boreM [m]
 * @param lambda [-]
 * @param unburnedK [K]
 * @param pressurePa [Pa]
 * @param diluent [mol/mol]
 * @param gasConstant of the unburned gas [J/(kg K)]
 * @returns [m^(4/3) s^(-2/3) ...] of which only the ratio to another means anything
 * Source: Hires et al., SAE 780232; Heywood (1988) eq. 9.50, 9.51 (from memory).
 */
export const burnScale = (
  pistonSpeed: number,
  boreM: number,
  lambda: number,
  unburnedK: number,
  pressurePa: number,
  diluent: number,
  gasConstant: number,
): number => {
  const viscosity = kinematicViscosity(unburnedK, pressurePa, gasConstant);
  const length = boreM / laminarSpeedMPerS(lambda, unburnedK, pressurePa, diluent);
  return Math.exp(SPEED_EXPONENT * Math.log(pistonSpeed)) * Math.cbrt(viscosity * length * length);
};

const baseScale = (temperatureK: number, pressurePa: number): number =>
  burnScale(
    BURN_BASE.meanPistonSpeed,
    BURN_BASE.boreM,
    BURN_BASE.lambda,
    temperatureK,
    pressurePa,
    BURN_BASE.diluent,
    BURN_BASE.gasConstant,
  );

/** {@link burnScale} of the base state, halfway through the development [-]. Source: {@link BURN_BASE}. */
export const DEVELOPMENT_BASE_SCALE = baseScale(BURN_BASE.developmentK, BURN_BASE.developmentPa);
/** {@link burnScale} of the base state, where half is burned [-]. Source: {@link BURN_BASE}. */
export const RAPID_BASE_SCALE = baseScale(BURN_BASE.halfK, BURN_BASE.halfPa);
