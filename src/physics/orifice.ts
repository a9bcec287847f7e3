/** Standard orifices, nozzles and venturis in a pipe, as a flow bench or airflow meter uses them. */
import { circleAreaM2 } from './nozzle.ts';
import { type Solved, solved, unsolved } from './reason.ts';

/** Places of the pressure taps of an orifice: L1 and L2' [-]. Source: ISO 5167-2:2003, sect. 5.3.2.1. */
export const ORIFICE_TAPS = {
  corner: { upstream: 0, downstream: 0 },
  'D and D/2': { upstream: 1, downstream: 0.47 },
} as const;

/** Kind of taps. */
export type OrificeTaps = keyof typeof ORIFICE_TAPS;

/** Discharge coefficients of venturi tubes [-]. Source: ISO 5167-4:2003, sect. 5.5. */
export const VENTURI_COEFFICIENT = { asCast: 0.984, machined: 0.995 } as const;

/**
 * Discharge coefficient of a square-edged orifice plate.
 *
 * @param pipeDiameterM D [m], 0.05 to 1
 * @param orificeDiameterM d [m], d/D 0.1 to 0.75, d at least 12.5 mm
 * @param reynolds of the pipe [-], above about 5000
 * @param taps where pressure is taken
 * @returns [-]
 * Source: Reader-Harris/Gallagher equation, ISO 5167-2:2003, sect. 5.3.2.1.
 */
export const orificeDischargeCoefficient = (
  pipeDiameterM: number,
  orificeDiameterM: number,
  reynolds: number,
  taps: OrificeTaps,
): number => {
  const beta = orificeDiameterM / pipeDiameterM;
  const { upstream, downstream } = ORIFICE_TAPS[taps];
  const a = ((19000 * beta) / reynolds) ** 0.8;
  const m = (2 * downstream) / (1 - beta);
  const beta4 = beta ** 4;
  const small = pipeDiameterM < 0.07112 ? 0.011 * (0.75 - beta) * (2.8 - pipeDiameterM / 0.0254) : 0;
  return (
    0.5961 +
    0.0261 * beta ** 2 -
    0.216 * beta ** 8 +
    0.000521 * ((1e6 * beta) / reynolds) ** 0.7 +
    (0.0188 + 0.0063 * a) * beta ** 3.5 * (1e6 / reynolds) ** 0.3 +
    (0.043 + 0.08 * Math.exp(-10 * upstream) - 0.123 * Math.exp(-7 * upstream)) *
      (1 - 0.11 * a) *
      (beta4 / (1 - beta4)) -
    0.031 * (m - 0.8 * m ** 1.1) * beta ** 1.3 +
    small
  );
};

/**
 * Expansibility of an orifice [-] at d/D [-], p2/p1 of 0.75 to 1 [-] and isentropic exponent [-].
 * Source: ISO 5167-2:2003, sect. 5.3.2.2.
 */
export const orificeExpansibility = (diameterRatio: number, pressureRatio: number, exponent: number): number =>
  1 - (0.351 + 0.256 * diameterRatio ** 4 + 0.93 * diameterRatio ** 8) * (1 - pressureRatio ** (1 / exponent));

/**
 * Expansibility of a nozzle or venturi [-] at d/D [-], p2/p1 of 0.75 to below 1 [-] and isentropic exponent [-].
 * Source: ISO 5167-4:2003, sect. 5.6.
 */
export const nozzleExpansibility = (diameterRatio: number, pressureRatio: number, exponent: number): number => {
  const k = exponent;
  const power = pressureRatio ** (2 / k);
  const beta4 = diameterRatio ** 4;
  return Math.sqrt(
    ((k * power) / (k - 1)) *
      ((1 - beta4) / (1 - beta4 * power)) *
      ((1 - pressureRatio ** ((k - 1) / k)) / (1 - pressureRatio)),
  );
};

/**
 * Mass flow through an orifice from its pressures, with the coefficient that belongs to that flow.
 *
 * @param pipeDiameterM [m]
 * @param orificeDiameterM [m], smaller
 * @param upstreamPa p1 [Pa]
 * @param downstreamPa p2 [Pa], 0.75 to 1 of p1
 * @param densityKgPerM3 upstream [kg/m3]
 * @param viscosityPaS [Pa s]
 * @param taps where pressure is taken
 * @param exponent isentropic exponent [-]; without one the fluid is taken as incompressible
 * @returns [kg/s]. Reasons: `input-out-of-range`, `no-convergence`.
 * Source: ISO 5167-1:2003 eq. 1, iterated as in its annex A.
 */
export const orificeMassFlowKgPerS = (
  pipeDiameterM: number,
  orificeDiameterM: number,
  upstreamPa: number,
  downstreamPa: number,
  densityKgPerM3: number,
  viscosityPaS: number,
  taps: OrificeTaps,
  exponent?: number,
): Solved<number> => {
  const beta = orificeDiameterM / pipeDiameterM;
  if (!(beta > 0 && beta < 1 && upstreamPa > downstreamPa && downstreamPa >= 0.75 * upstreamPa)) {
    return unsolved(
      'input-out-of-range',
      'An orifice needs d below D and a downstream pressure of 75 to 100 % of upstream.',
    );
  }
  const expansibility = exponent === undefined ? 1 : orificeExpansibility(beta, downstreamPa / upstreamPa, exponent);
  const ideal =
    (expansibility * circleAreaM2(orificeDiameterM) * Math.sqrt(2 * densityKgPerM3 * (upstreamPa - downstreamPa))) /
    Math.sqrt(1 - beta ** 4);
  let flow = 0.6 * ideal;
  for (let i = 0; i < 50; i++) {
    const reynolds = (4 * flow) / (Math.PI * pipeDiameterM * viscosityPaS);
    const next = orificeDischargeCoefficient(pipeDiameterM, orificeDiameterM, reynolds, taps) * ideal;
    if (Math.abs(next - flow) <= 1e-12 * next) return solved(next);
    flow = next;
  }
  return unsolved('no-convergence', 'The orifice coefficient did not settle.');
};
