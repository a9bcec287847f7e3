/** The throttle shut on full boost: does the compressor surge, how far and for how long. */
import { newBalance } from '../balance.ts';
import { solveCase } from '../point.ts';
import { roadSpeedMPerS } from '../prepare.ts';
import { boostTargetAbsolutePa, solverAt } from '../steady.ts';
import type { AirPath, AirState } from './air-path.ts';
import { gearRatioOf, movedMassKg } from './pull.ts';
import { isSoundState } from './record.ts';
import { newAirState, roadLoadForceN } from './start.ts';
import { type Driver, LEAST_SURGE_RATIO, stepAir } from './step.ts';

export interface LiftOptions {
  readonly gear: number;
  /** Engine speed at which the pedal comes up [rpm]. */
  readonly atRpm: number;
  readonly stepS?: number | undefined;
}

const LIFT_KINDS = ['clear', 'crosses the surge line', 'surges'] as const;
/** Surges: the flow through the compressor turns round at least once. */
export type LiftKind = (typeof LIFT_KINDS)[number];

export interface LiftAnswer {
  readonly kind: LiftKind;
  /** Boost when the pedal came up [Pa]. */
  readonly boostPa: number;
  /** Least flow over the flow at the surge line while the compressor still makes pressure [-]; below 1 is left of the line. */
  readonly leastFlowShare: number;
  /** Times the flow turned round. */
  readonly cycles: number;
  /** Time left of the surge line [s]. */
  readonly leftS: number;
  /** Highest pressure before the throttle [Pa over outside]. */
  readonly highestPipeBoostPa: number;
  readonly sound: boolean;
}

/** Surge cycles last 50 to 250 ms: this step follows them, with the flow itself in shorter ones (docs/model.md). */
const LIFT_STEP_S = 0.001;
const LIFT_S = 2;
const SETTLE_S = 0.3;
/** A shut throttle's leak and idle air [share of its area] (no source). */
const SHUT_OPENING = 0.008;

/** The state on full boost at an engine speed, from the steady match. */
const onBoost = (path: AirPath, rpm: number, speedMPerS: number): AirState => {
  const { prepared } = path;
  const b = newBalance();
  const solver = solverAt(prepared, rpm, {}, {}, b);
  solveCase(solver, boostTargetAbsolutePa(prepared, rpm, {}));
  const s = newAirState(prepared, rpm, speedMPerS);
  if (!Number.isFinite(b.shaftSpeedRpm + b.airFlowKgPerS + b.exhaustPressurePa)) return s;
  s.shaftRadPerS = Math.max(1000, (b.shaftSpeedRpm * Math.PI) / 30);
  s.compressorFlowKgPerS = b.airFlowKgPerS;
  s.engineFlowKgPerS = b.airFlowKgPerS;
  s.chargePressurePa = b.manifoldPressurePa * 1.005;
  s.manifoldPressurePa = b.manifoldPressurePa;
  s.exhaustPressurePa = b.exhaustPressurePa;
  s.exhaustTemperatureK = b.exhaustTemperatureK;
  s.turbineOutletPa = b.turbineOutletPressurePa;
  s.coreTemperatureK = b.coreTemperatureK;
  s.chargeTemperatureK = b.chargeTemperatureK;
  s.wastegateOpening = Math.min(1, Math.max(0, b.wastegateOpening));
  s.lambda = b.lambda;
  s.throttleOpening = 1;
  return s;
};

/**
 * Lifts off at an engine speed on full boost, in gear: throttle shut, fuel cut, boost control off, the car rolling on.
 * Surge as in Greitzer, ASME J. Eng. Power 98 (1976) 190: air column, volume and the compressor's line through reversed
 * flow. The compressor follows its line at once (no lag), which makes the cycles a little harder than they are.
 */
export const runLift = (path: AirPath, options: LiftOptions): LiftAnswer => {
  const { prepared } = path;
  const { car, conditions } = prepared;
  const dt = options.stepS ?? LIFT_STEP_S;
  const ratio = gearRatioOf(car, options.gear);
  const perRpm = roadSpeedMPerS(car, 1, ratio);
  const s = onBoost(path, options.atRpm, perRpm * options.atRpm);
  path.held.ageS = Number.POSITIVE_INFINITY;
  const driver: Driver = { pedal: 1, restOpening: SHUT_OPENING, fuelOn: true, boostWanted: true };
  for (let i = 0; i < SETTLE_S / dt; i++) stepAir(path, s, driver, dt);
  const boostPa = s.manifoldPressurePa - conditions.ambientPressurePa;
  driver.pedal = 0;
  driver.fuelOn = false;
  driver.boostWanted = false;
  path.held.ageS = Number.POSITIVE_INFINITY;
  const forcePerNm = (ratio * car.driveline.finalDrive * car.driveline.efficiency) / car.tyres.rollingRadiusM;
  const mass = movedMassKg(car, ratio);
  s.reversals = 0;
  s.leastShare = 5;
  let leftS = 0;
  let highest = s.chargePressurePa;
  for (let i = 0; i < LIFT_S / dt; i++) {
    const force = s.brakeTorqueNm * forcePerNm - roadLoadForceN(prepared, s.roadSpeedMPerS);
    s.engineSpeedRpm = Math.max(300, s.engineSpeedRpm + (dt * force) / mass / perRpm);
    s.roadSpeedMPerS = perRpm * s.engineSpeedRpm;
    stepAir(path, s, driver, dt);
    if (s.chargePressurePa > highest) highest = s.chargePressurePa;
    if (s.compressorRatio >= LEAST_SURGE_RATIO && s.correctedFlowKgPerS < s.surgeFlowKgPerS) leftS += dt;
  }
  return {
    kind: s.reversals > 0 ? 'surges' : s.leastShare < 1 ? 'crosses the surge line' : 'clear',
    boostPa,
    leastFlowShare: s.leastShare,
    cycles: s.reversals,
    leftS,
    highestPipeBoostPa: highest - conditions.ambientPressurePa,
    sound: isSoundState(s),
  };
};
