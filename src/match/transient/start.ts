/** Where a run begins: cruising on the level before the pedal goes down, or on full boost before it comes up. */
import { rollingResistanceN } from '../../physics/index.ts';
import { newBalance } from '../balance.ts';
import { solveCase } from '../point.ts';
import { type Prepared, roadSpeedMPerS } from '../prepare.ts';
import { boostTargetAbsolutePa, solverAt } from '../steady.ts';
import type { AirPath, AirState } from './air-path.ts';
import { airNozzle, type Driver, stepAir } from './step.ts';

/** Engine speeds at which the opening of the wastegate is forecast. */
const FORECAST_SPEEDS = 8;
/** Core over outside air when the pedal goes down after cruising [K]; as in the steady match (no source). */
export const CORE_START_OVER_AMBIENT_K = 3;

/** Opening that holds the target in the steady match, by engine speed: what the engine computer was set up with. */
export const steadyForecast = (prepared: Prepared): { at: number[]; values: number[] } => {
  const limit = prepared.car.engine.revLimitRpm;
  const at: number[] = [];
  const values: number[] = [];
  const balance = newBalance();
  for (let i = 0; i < FORECAST_SPEEDS; i++) {
    const rpm = limit * (0.25 + (0.75 * i) / (FORECAST_SPEEDS - 1));
    const solver = solverAt(prepared, rpm, {}, {}, balance);
    solveCase(solver, boostTargetAbsolutePa(prepared, rpm, {}));
    const opening = balance.wastegateOpening;
    at.push(rpm);
    values.push(Number.isFinite(opening) ? Math.min(1, Math.max(0, opening)) : 0);
  }
  return { at, values };
};

/** Force that holds the car back on the level [N]: drag and rolling. Source: SAE J1263. */
export const roadLoadForceN = (prepared: Prepared, speedMPerS: number): number => {
  const { car, conditions } = prepared;
  const density = conditions.ambientPressurePa / (prepared.airGasConstant * conditions.ambientTemperatureK);
  return (
    rollingResistanceN(car.body.rollingResistance, car.body.massKg) +
    0.5 * density * car.body.dragAreaM2 * speedMPerS * speedMPerS
  );
};

/** Crank torque that keeps the speed on the level in a gear [N m]. */
export const cruiseTorqueNm = (prepared: Prepared, engineSpeedRpm: number, gearRatio: number): number => {
  const { car } = prepared;
  const speed = roadSpeedMPerS(car, engineSpeedRpm, gearRatio);
  return (
    (roadLoadForceN(prepared, speed) * car.tyres.rollingRadiusM) /
    (gearRatio * car.driveline.finalDrive * car.driveline.efficiency)
  );
};

/** A state at rest: pressures of outside air, shaft barely turning. */
export const newAirState = (prepared: Prepared, engineSpeedRpm: number, speedMPerS: number): AirState => {
  const { ambientPressurePa: pa, ambientTemperatureK: ta } = prepared.conditions;
  return {
    timeS: 0,
    engineSpeedRpm,
    roadSpeedMPerS: speedMPerS,
    shaftRadPerS: 1500,
    compressorFlowKgPerS: 0.005,
    chargePressurePa: pa,
    manifoldPressurePa: 0.5 * pa,
    exhaustPressurePa: 1.02 * pa,
    coreTemperatureK: ta + CORE_START_OVER_AMBIENT_K,
    throttleOpening: 0.05,
    wastegateOpening: 0,
    bypassOpening: 0,
    lambda: 1,
    controlPa: 0,
    risePaPerS: 0,
    targetPa: pa,
    compressorRatio: 1,
    surgeFlowKgPerS: 0,
    reversals: 0,
    leastShare: 5,
    correctedFlowKgPerS: 0,
    compressorOutletK: ta,
    chargeTemperatureK: ta + CORE_START_OVER_AMBIENT_K,
    sprayCoolingK: 0,
    engineFlowKgPerS: 0.01,
    fuelFlowKgPerS: 0,
    exhaustTemperatureK: 850,
    turbinePowerW: 0,
    compressorPowerW: 0,
    turbineOutletPa: pa,
    brakeTorqueNm: 0,
    wantedOpening: 0,
  };
};

const SETTLE_STEP_S = 0.004;
const SETTLE_STEPS = 600;
/** The shaft takes seconds to settle at light load; here only where it settles counts, so it is hurried. */
const SHAFT_HURRY = 12;
/** Indicated mean pressure over manifold pressure of a running engine [-]; only how fast the search moves hangs on it. */
const WORK_OVER_PRESSURE = 11;
const SEARCH_GAIN = 0.03;
const CRUISE_RANGE_PA: readonly [number, number] = [15e3, 98e3];

export interface CruiseOptions {
  /** Crank torque to be held [N m], or manifold pressure to be held [Pa] where that is known. */
  readonly torqueNm?: number | undefined;
  readonly manifoldPressurePa?: number | undefined;
  /** Core at the pedal; {@link CORE_START_OVER_AMBIENT_K} over outside when absent. */
  readonly coreTemperatureK?: number | undefined;
}

/**
 * Settles at an engine speed with the throttle where torque or manifold pressure is as asked.
 * @returns the throttle's opening [share of its area]
 */
export const settleCruise = (path: AirPath, s: AirState, options: CruiseOptions): number => {
  const { prepared } = path;
  const [lowest, highest] = CRUISE_RANGE_PA;
  const perNm = (4 * Math.PI) / (WORK_OVER_PRESSURE * prepared.displacementM3);
  const driver: Driver = { pedal: 0, restOpening: 0.05, fuelOn: true, boostWanted: false };
  const core = options.coreTemperatureK ?? s.coreTemperatureK;
  let wantedPa = options.manifoldPressurePa ?? s.manifoldPressurePa;
  path.held.ageS = Number.POSITIVE_INFINITY;
  for (let i = 0; i < SETTLE_STEPS; i++) {
    // The throttle that passes what the engine takes at the wanted pressure.
    const ratio = Math.min(0.99, wantedPa / s.chargePressurePa);
    const taken = (s.engineFlowKgPerS * wantedPa) / s.manifoldPressurePa;
    const perArea = (s.chargePressurePa * airNozzle(ratio)) / Math.sqrt(prepared.airGasConstant * s.chargeTemperatureK);
    const opening = Math.min(1, Math.max(1e-3, taken / perArea / path.throttleAreaM2));
    driver.restOpening = opening;
    s.throttleOpening = opening;
    const shaft = s.shaftRadPerS;
    stepAir(path, s, driver, SETTLE_STEP_S);
    s.shaftRadPerS = Math.max(200, shaft + SHAFT_HURRY * (s.shaftRadPerS - shaft));
    s.coreTemperatureK = core;
    if (options.manifoldPressurePa === undefined) {
      wantedPa += SEARCH_GAIN * perNm * ((options.torqueNm ?? 0) - s.brakeTorqueNm);
      wantedPa = Math.min(highest, Math.max(lowest, wantedPa));
    }
  }
  s.timeS = 0;
  return driver.restOpening;
};
