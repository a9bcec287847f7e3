/**
 * The car's air path made ready for marching in time: what is constant over a run, and the state that moves.
 *
 * Volumes with a pressure each (charge pipes with cooler, plenum, exhaust manifold), the air in the compressor's duct, the
 * turbocharger's shaft, the metal of the cooler, wastegate, throttle and bypass valve. Everything between
 * them - map, cooler, filling, cylinder, turbine, exhaust pipe - is as in the steady match.
 */

import type { Solver } from '../balance.ts';
import { curveAt, type Prepared } from '../prepare.ts';
import { solverAt } from '../steady.ts';

/** What no build sheet says and a run in time needs; each is sampled where bands are asked for. */
export interface TransientNumbers {
  /** Length of the air column that is set moving, filter to charge volume [m]. */
  readonly ductLengthM: number;
  /** First-order lag of the throttle behind the pedal [s]. */
  readonly throttleLagS: number;
  /** First-order lag of valve, hose and diaphragm of the wastegate [s]. */
  readonly wastegateLagS: number;
  /** Actuator pressure taken off per pressure that boost is short [-], and per second that it stays so [1/s]. */
  readonly controlGain: number;
  readonly controlPerS: number;
  /** How far ahead the control looks along the rise of boost [s]. */
  readonly controlAheadS: number;
  /** Share of the wanted boost that may be missing before the control lets go of the wastegate at all [-]. */
  readonly controlGate: number;
  /** Opening that the engine computer expects to need over the one that it needs, minus 1 [-]. */
  readonly forecastError: number;
  /** Lag of the mixture behind the pedal: enrichment and wall film [s]. */
  readonly mixtureLagS: number;
  /** Boost over the manifold at which the bypass valve begins to open, and lag of its piston [Pa, s]. */
  readonly bypassCrackPa: number;
  readonly bypassLagS: number;
}

/** Usual figures; common practice, no source, unless the file that uses them says otherwise. */
export const USUAL_NUMBERS: TransientNumbers = {
  ductLengthM: 1,
  throttleLagS: 0.07,
  wastegateLagS: 0.08,
  controlGain: 0.5,
  controlPerS: 1,
  controlAheadS: 0.08,
  controlGate: 0.15,
  forecastError: 0,
  mixtureLagS: 0.4,
  bypassCrackPa: 35e3,
  bypassLagS: 0.03,
};

/** Everything that moves in a run, and what follows from it at the moment. SI, pressures absolute. */
export interface AirState {
  timeS: number;
  engineSpeedRpm: number;
  roadSpeedMPerS: number;
  /** Shaft [rad/s]. */
  shaftRadPerS: number;
  /** Air through the compressor, negative where it blows back [kg/s]. */
  compressorFlowKgPerS: number;
  /** Before the throttle. */
  chargePressurePa: number;
  manifoldPressurePa: number;
  exhaustPressurePa: number;
  coreTemperatureK: number;
  throttleOpening: number;
  wastegateOpening: number;
  bypassOpening: number;
  lambda: number;
  /** Integral of the boost control [Pa], and the rise of manifold pressure that it sees [Pa/s]. */
  controlPa: number;
  risePaPerS: number;

  // What follows.
  targetPa: number;
  compressorRatio: number;
  surgeFlowKgPerS: number;
  /** Times the compressor's flow has turned round, and its least share of the surge flow while it makes pressure [-]. */
  reversals: number;
  leastShare: number;
  correctedFlowKgPerS: number;
  compressorOutletK: number;
  chargeTemperatureK: number;
  sprayCoolingK: number;
  engineFlowKgPerS: number;
  fuelFlowKgPerS: number;
  exhaustTemperatureK: number;
  turbinePowerW: number;
  compressorPowerW: number;
  turbineOutletPa: number;
  brakeTorqueNm: number;
  wantedOpening: number;
}

/** One car in one day's air, ready to run. */
export interface AirPath {
  readonly prepared: Prepared;
  readonly numbers: TransientNumbers;
  /** Whose cylinder, charge and timing are asked; its engine speed moves. */
  readonly solver: { -readonly [K in keyof Solver]: Solver[K] };
  readonly ductAreaM2: number;
  readonly throttleAreaM2: number;
  readonly bypassAreaM2: number;
  /** What the engine computer asks for at an engine speed, absolute [Pa]. */
  readonly targetPa: (engineSpeedRpm: number) => number;
  /** Opening that holds the target in the steady match, by engine speed [0..1]. */
  readonly forecast: (engineSpeedRpm: number) => number;
  readonly held: HeldShares;
}

/** The cylinder's answers, held between refreshes: they move slowly. */
export interface HeldShares {
  ageS: number;
  indicatedEfficiency: number;
  heatShare: number;
  wallHeatShare: number;
  sprayKgPerS: number;
  evaporatedKgPerS: number;
  frictionPa: number;
  baseFilling: number;
  lambdaTarget: number;
  forecastOpening: number;
}

/** Throttle discharge: as in the steady match's loss of an open throttle (Heywood (1988) sect. 7.6, from memory). */
const THROTTLE_DISCHARGE = 0.85;
/** Bypass valve discharge (no source). */
const BYPASS_DISCHARGE = 0.7;

/** Makes a car ready. `forecast`: opening that the boost control expects to need, by engine speed. */
export const airPathOf = (
  prepared: Prepared,
  forecast: { readonly at: readonly number[]; readonly values: readonly number[] },
  numbers: Partial<TransientNumbers> = {},
): AirPath => {
  const { car, conditions } = prepared;
  const { boostTarget, boostIsGauge } = car.curves;
  const plus = boostIsGauge ? conditions.ambientPressurePa : 0;
  const solver = solverAt(prepared, 2000);
  const pipe = car.intake.chargePipeDiameterM;
  const fitted = car.facts.bypassValve !== 'none';
  return {
    prepared,
    numbers: { ...USUAL_NUMBERS, ...numbers },
    solver,
    ductAreaM2: 0.25 * Math.PI * pipe * pipe,
    throttleAreaM2: 0.25 * Math.PI * THROTTLE_DISCHARGE * car.intake.throttleDiameterM ** 2,
    bypassAreaM2: fitted ? 0.25 * Math.PI * BYPASS_DISCHARGE * car.intake.bypassDiameterM ** 2 : 0,
    targetPa: (rpm) => curveAt(boostTarget, rpm) + plus,
    forecast: (rpm) => curveAt(forecast, rpm),
    held: {
      ageS: Number.POSITIVE_INFINITY,
      indicatedEfficiency: 0,
      heatShare: 1,
      wallHeatShare: 0,
      sprayKgPerS: 0,
      evaporatedKgPerS: 0,
      frictionPa: 0,
      baseFilling: 0.8,
      lambdaTarget: 1,
      forecastOpening: 0,
    },
  };
};
