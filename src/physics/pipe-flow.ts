/** Pressure loss of pipes and fittings, and the Mach number in them. Friction factors are Darcy's (4 times Fanning's). */
import { circleAreaM2 } from './nozzle.ts';
import { type Solved, solved, unsolved } from './reason.ts';

/** Reynolds number [-], rho v D / mu, from mass flow [kg/s], diameter [m] and viscosity [Pa s]. Definition. */
export const reynoldsNumber = (massFlowKgPerS: number, diameterM: number, viscosityPaS: number): number =>
  (4 * Math.abs(massFlowKgPerS)) / (Math.PI * diameterM * viscosityPaS);

/** Friction factor of laminar pipe flow, 64/Re [-]. Source: Hagen-Poiseuille; Re below about 2000. */
export const laminarFrictionFactor = (reynolds: number): number => 64 / reynolds;

/**
 * Friction factor by Colebrook, 1/sqrt(f) = -2 log10(eps/(3.7 D) + 2.51/(Re sqrt(f))), iterated from Haaland's value.
 *
 * @param reynolds [-], 4000 to 1e8
 * @param relativeRoughness eps/D [-], 0 to 0.05
 * @returns [-]
 * Source: Colebrook, J. Inst. Civil Eng. 11 (1939) 133.
 */
export const colebrookFrictionFactor = (reynolds: number, relativeRoughness: number): number => {
  let x = 1 / Math.sqrt(haalandFrictionFactor(reynolds, relativeRoughness));
  const rough = relativeRoughness / 3.7;
  const smooth = 2.51 / reynolds;
  // Newton's method in x = 1/sqrt(f); the start is within 2 %, so three steps reach rounding.
  for (let i = 0; i < 4; i++) {
    const argument = rough + smooth * x;
    const slope = 1 + (2 * smooth) / (Math.LN10 * argument);
    x -= (x + 2 * Math.log10(argument)) / slope;
  }
  return 1 / (x * x);
};

/**
 * Friction factor by Haaland, 1/sqrt(f) = -1.8 log10((eps/(3.7 D))^1.11 + 6.9/Re); within 2 % of Colebrook.
 *
 * @param reynolds [-], 4000 to 1e8
 * @param relativeRoughness eps/D [-], 0 to 0.05
 * @returns [-]
 * Source: Haaland, J. Fluids Eng. 105 (1983) 89.
 */
export const haalandFrictionFactor = (reynolds: number, relativeRoughness: number): number =>
  (-1.8 * Math.log10((relativeRoughness / 3.7) ** 1.11 + 6.9 / reynolds)) ** -2;

const LAMINAR_END = 2000;
const TURBULENT_START = 4000;

/**
 * Friction factor at any Reynolds number: laminar, Colebrook, and a straight line between 2000 and 4000, where the true
 * value is uncertain.
 *
 * @param reynolds above 0 [-]
 * @param relativeRoughness eps/D [-]
 * @returns [-]
 * Source: Hagen-Poiseuille and Colebrook; the line between them is common practice, no source.
 */
export const frictionFactor = (reynolds: number, relativeRoughness: number): number => {
  if (reynolds <= LAMINAR_END) return laminarFrictionFactor(reynolds);
  if (reynolds >= TURBULENT_START) return colebrookFrictionFactor(reynolds, relativeRoughness);
  const share = (reynolds - LAMINAR_END) / (TURBULENT_START - LAMINAR_END);
  return (
    (1 - share) * laminarFrictionFactor(LAMINAR_END) +
    share * colebrookFrictionFactor(TURBULENT_START, relativeRoughness)
  );
};

/** Mean velocity [m/s] of a mass flow [kg/s] at a density [kg/m3] in a pipe of inner diameter [m]. Definition. */
export const pipeVelocityMPerS = (massFlowKgPerS: number, densityKgPerM3: number, diameterM: number): number =>
  massFlowKgPerS / (densityKgPerM3 * circleAreaM2(diameterM));

/** Dynamic pressure [Pa], rho v2 / 2, from density [kg/m3] and velocity [m/s]. Definition. */
export const dynamicPressurePa = (densityKgPerM3: number, velocityMPerS: number): number =>
  (densityKgPerM3 * velocityMPerS * velocityMPerS) / 2;

/**
 * Pressure loss of a straight pipe, f (L/D) rho v2 / 2.
 *
 * @param darcyFactor [-]
 * @param lengthM [m]
 * @param diameterM inner [m]
 * @param densityKgPerM3 [kg/m3]
 * @param velocityMPerS mean [m/s]
 * @returns [Pa]
 * Source: Darcy-Weisbach; for gas while the loss is below about 10 % of the pressure.
 */
export const pipePressureLossPa = (
  darcyFactor: number,
  lengthM: number,
  diameterM: number,
  densityKgPerM3: number,
  velocityMPerS: number,
): number => darcyFactor * (lengthM / diameterM) * dynamicPressurePa(densityKgPerM3, velocityMPerS);

/** One run of pipe. */
export interface PipeRun {
  readonly diameterM: number;
  readonly lengthM: number;
  readonly roughnessM: number;
  /** Sum of the loss coefficients of its fittings [-], referred to the pipe's velocity. */
  readonly fittingLoss: number;
}

/**
 * Pressure loss of a run of pipe with its fittings.
 *
 * @param run the pipe
 * @param massFlowKgPerS [kg/s], 0 or more
 * @param densityKgPerM3 mean [kg/m3]
 * @param viscosityPaS [Pa s]
 * @returns [Pa]
 * Source: Darcy-Weisbach with K factors, Crane TP-410.
 */
export const runPressureLossPa = (
  run: PipeRun,
  massFlowKgPerS: number,
  densityKgPerM3: number,
  viscosityPaS: number,
): number => {
  if (massFlowKgPerS === 0) return 0;
  const velocity = pipeVelocityMPerS(massFlowKgPerS, densityKgPerM3, run.diameterM);
  const factor = frictionFactor(
    reynoldsNumber(massFlowKgPerS, run.diameterM, viscosityPaS),
    run.roughnessM / run.diameterM,
  );
  return ((factor * run.lengthM) / run.diameterM + run.fittingLoss) * dynamicPressurePa(densityKgPerM3, velocity);
};

/** Loss coefficient [-] of a sudden widening, (1 - (d1/d2)2)2, on the small pipe's velocity. Source: Borda-Carnot. */
export const suddenExpansionLoss = (diameterRatio: number): number => (1 - diameterRatio * diameterRatio) ** 2;

/** Loss coefficients of an exit and of a sharp flush entrance [-]. Source: Crane TP-410, p. A-30 (0.50 from memory). */
export const PIPE_END_LOSS = { exit: 1, sharpEntrance: 0.5 } as const;

/** Loss of 90 degree bends over the fully rough friction factor [-], by bend radius over diameter. Source: Crane TP-410 (2009) p. A-30. */
export const BEND_LOSS_OVER_FRICTION: ReadonlyArray<readonly [radiusOverDiameter: number, factor: number]> = [
  [1, 20],
  [1.5, 14],
  [2, 12],
  [3, 12],
  [4, 14],
  [6, 17],
];

/** Loss of valves over the fully rough friction factor [-]. Source: Crane TP-410, p. A-27. */
export const VALVE_LOSS_OVER_FRICTION = { gateOpen: 8, angle: 150, globe: 340 } as const;

/** Fully rough friction factor [-], Re to infinity, at eps/D [-] above 0. Source: von Karman; Crane TP-410 eq. 2-8. */
export const fullyRoughFrictionFactor = (relativeRoughness: number): number =>
  (-2 * Math.log10(relativeRoughness / 3.7)) ** -2;

/**
 * Loss coefficient of a smooth 90 degree bend, K = n fT.
 *
 * @param radiusOverDiameter of the centreline [-], 1 to 6; between table rows linear
 * @param relativeRoughness eps/D [-], above 0
 * @returns [-]. Reason: `input-out-of-range`.
 * Source: Crane TP-410 (2009) p. A-30.
 */
export const bendLoss = (radiusOverDiameter: number, relativeRoughness: number): Solved<number> => {
  const above = BEND_LOSS_OVER_FRICTION.findIndex(([radius]) => radius >= radiusOverDiameter);
  if (above < 0 || !(radiusOverDiameter >= 1) || !(relativeRoughness > 0)) {
    return unsolved('input-out-of-range', 'Bend losses are tabled for radii of 1 to 6 diameters in a rough pipe.');
  }
  const [r1, n1] = BEND_LOSS_OVER_FRICTION[above]!;
  const [r0, n0] = BEND_LOSS_OVER_FRICTION[Math.max(above - 1, 0)]!;
  const n = r1 === r0 ? n1 : n0 + ((n1 - n0) * (radiusOverDiameter - r0)) / (r1 - r0);
  return solved(n * fullyRoughFrictionFactor(relativeRoughness));
};

/**
 * Loss coefficient [-] of a valve from its flow coefficient Kv [m3/h of water at 1 bar] and pipe diameter [m],
 * K = 1.6e9 D4 / Kv2 (here from 1 bar and 1000 kg/m3). Source: IEC 60534-2-1 definition of Kv.
 */
export const lossFromFlowCoefficient = (kvM3PerH: number, diameterM: number): number => {
  const velocity = kvM3PerH / 3600 / circleAreaM2(diameterM);
  return 1e5 / dynamicPressurePa(1000, velocity);
};

/**
 * Resistance [1/m4] from one measured loss, dp = k m2 / rho: for a filter, cooler or exhaust known at one point.
 *
 * @param pressureLossPa measured [Pa]
 * @param massFlowKgPerS there [kg/s], above 0
 * @param densityKgPerM3 there [kg/m3]
 * @returns [1/m4]
 * Source: fully turbulent loss; definition.
 */
export const resistanceFromPoint = (pressureLossPa: number, massFlowKgPerS: number, densityKgPerM3: number): number =>
  (pressureLossPa * densityKgPerM3) / massFlowKgPerS ** 2;

/** Pressure loss [Pa] of a resistance [1/m4] at a mass flow [kg/s] and density [kg/m3]. Source: fully turbulent loss. */
export const resistancePressureLossPa = (
  resistancePerM4: number,
  massFlowKgPerS: number,
  densityKgPerM3: number,
): number => (resistancePerM4 * massFlowKgPerS * Math.abs(massFlowKgPerS)) / densityKgPerM3;

/**
 * Mach number in a pipe from mass flow, static pressure and total temperature.
 *
 * @param massFlowKgPerS [kg/s]
 * @param diameterM inner [m]
 * @param staticPressurePa [Pa]
 * @param totalTemperatureK [K]
 * @param heatRatio [-]
 * @param gasConstantJPerKgK [J/(kg K)]
 * @returns [-]
 * Source: continuity with adiabatic energy; Anderson, Modern Compressible Flow, ch. 3.
 */
export const pipeMachNumber = (
  massFlowKgPerS: number,
  diameterM: number,
  staticPressurePa: number,
  totalTemperatureK: number,
  heatRatio = 1.4,
  gasConstantJPerKgK = 287.05,
): number => {
  // g = M sqrt(k) sqrt(1 + (k-1)/2 M2) is a quadratic in M2.
  const g =
    (massFlowKgPerS * Math.sqrt(gasConstantJPerKgK * totalTemperatureK)) / (circleAreaM2(diameterM) * staticPressurePa);
  const c = (g * g) / heatRatio;
  return Math.sqrt((2 * c) / (1 + Math.sqrt(1 + 2 * (heatRatio - 1) * c)));
};
