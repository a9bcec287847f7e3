/** A pull: from cruise, pedal down, in one gear to the rev limit; or along an engine speed that is given over time. */
import type { Car } from '../../car/index.ts';
import { type Prepared, prepare, roadSpeedMPerS } from '../prepare.ts';
import type { Conditions } from '../types.ts';
import { type AirPath, airPathOf, type TransientNumbers } from './air-path.ts';
import { addRow, isSoundState, newRecord, type PullRecord } from './record.ts';
import { cruiseTorqueNm, newAirState, roadLoadForceN, settleCruise, steadyForecast } from './start.ts';
import { type Driver, stepAir } from './step.ts';

/** Engine speed that is known over time, for laying on a log: rising times [s from pedal down], speeds [rpm]. */
export interface GivenSpeed {
  readonly timesS: ArrayLike<number>;
  readonly engineSpeedsRpm: ArrayLike<number>;
  /** What was asked for, absolute [Pa]; the build's target when absent. */
  readonly targetsPa?: ArrayLike<number> | undefined;
}

export interface PullOptions {
  /** Gear, 1 for first. */
  readonly gear: number;
  /** Engine speed at the pedal [rpm]. */
  readonly fromRpm: number;
  /** Ends there; the rev limit when absent. */
  readonly toRpm?: number | undefined;
  readonly numbers?: Partial<TransientNumbers> | undefined;
  /** Engine speed laid down instead of driven by torque and road. */
  readonly given?: GivenSpeed | undefined;
  /** Factor on the torque of the level road's cruise before the pedal; 1 when absent. */
  readonly cruiseFactor?: number | undefined;
  /** Manifold pressure before the pedal, where known [Pa]; the level road's otherwise. */
  readonly startManifoldPa?: number | undefined;
  /** Core of the charge cooler at the pedal [K]. */
  readonly startCoreK?: number | undefined;
  /** Step of time [s]; {@link USUAL_STEP_S} when absent. */
  readonly stepS?: number | undefined;
  /** Steps between rows of the record; 1 when absent. */
  readonly rowEvery?: number | undefined;
  /** Ends once boost is this share of the boost asked for [-]; never when absent. */
  readonly endAtShare?: number | undefined;
}

/** Step at which spool time is converged to 1 % (docs/model.md). */
const USUAL_STEP_S = 0.004;
/** A foot takes this long to put the pedal down [s]. */
const PEDAL_TIME_S = 0.1;
/** A pull that has not ended by then does not get there [s]. */
const LONGEST_S = 60;

/** Mass moved in a gear, rotating parts included [kg]. Source: SAE J1263, J2263; upstream of the losses the engine's parts count with efficiency. */
export const movedMassKg = (car: Car, gearRatio: number): number => {
  const { driveline, tyres, body, engine } = car;
  const radius2 = tyres.rollingRadiusM ** 2;
  const overall = gearRatio * driveline.finalDrive;
  return (
    body.massKg +
    driveline.undrivenRotatingMassKg +
    driveline.drivenInertiaKgM2 / radius2 +
    ((engine.inertiaKgM2 + driveline.inputInertiaKgM2) * overall * overall * driveline.efficiency) / radius2
  );
};

/** Ratio [-] of a gear, 1 for first; a gear that the box does not have is taken as the nearest that it has. */
export const gearRatioOf = (car: Car, gear: number): number => {
  const { gearRatios } = car.facts;
  return gearRatios[Math.min(gearRatios.length, Math.max(1, Math.round(gear))) - 1] ?? 1;
};

/** Air path of a car, with its wastegate forecast: the costly part of a run, kept between runs of one car. */
export const readyPath = (
  car: Car,
  conditions: Conditions,
  numbers: Partial<TransientNumbers> = {},
  prepared: Prepared = prepare(car, conditions),
): AirPath => airPathOf(prepared, steadyForecast(prepared), numbers);

/**
 * Runs a pull. Engine speed by dv/dt = (torque i eta / r - road load) / moved mass without slip, or as given.
 * Total for every checked car: a run that does not come to an end says 'time' or 'stalled'.
 */
export const runPull = (ready: AirPath, options: PullOptions): PullRecord => {
  const { prepared } = ready;
  const { car, conditions } = prepared;
  const ambientPa = conditions.ambientPressurePa;
  const ratio = gearRatioOf(car, options.gear);
  const given = options.given;
  const startRpm = given ? (given.engineSpeedsRpm[0] ?? options.fromRpm) : options.fromRpm;
  const endRpm = options.toRpm ?? car.engine.revLimitRpm;
  const targets = given?.targetsPa;
  let targetPa = targets?.[0] ?? 0;
  const path: AirPath = targets ? { ...ready, targetPa: () => targetPa } : ready;
  const dt = options.stepS ?? USUAL_STEP_S;
  const rowEvery = options.rowEvery ?? 1;
  const perRpm = roadSpeedMPerS(car, 1, ratio);
  const s = newAirState(prepared, startRpm, perRpm * startRpm);
  const rest = settleCruise(path, s, {
    torqueNm: (options.cruiseFactor ?? 1) * cruiseTorqueNm(prepared, startRpm, ratio),
    manifoldPressurePa: options.startManifoldPa,
    coreTemperatureK: options.startCoreK,
  });
  const driver: Driver = { pedal: 0, restOpening: rest, fuelOn: true, boostWanted: true };
  const overall = ratio * car.driveline.finalDrive;
  const forcePerNm = (overall * car.driveline.efficiency) / car.tyres.rollingRadiusM;
  const mass = movedMassKg(car, ratio);
  const record = newRecord();
  const endS = given ? (given.timesS[given.timesS.length - 1] ?? 0) : LONGEST_S;
  // The foot is on its way before the pedal is down: time counts from there.
  for (s.timeS = -PEDAL_TIME_S; s.timeS < -0.5 * dt; ) {
    driver.pedal = 1 + s.timeS / PEDAL_TIME_S;
    stepAir(path, s, driver, dt);
  }
  s.timeS = 0;
  driver.pedal = 1;
  let row = 0;
  let place = 1;
  const { endAtShare } = options;
  addRow(record, s, ambientPa);
  while (s.timeS < endS) {
    if (given) {
      const { timesS, engineSpeedsRpm } = given;
      while (place < timesS.length - 1 && timesS[place]! < s.timeS) place++;
      const from = timesS[place - 1]!;
      const part = (s.timeS - from) / Math.max(1e-9, timesS[place]! - from);
      const low = engineSpeedsRpm[place - 1]!;
      const within = Math.min(1, Math.max(0, part));
      s.engineSpeedRpm = Math.max(300, low + (engineSpeedsRpm[place]! - low) * within);
      if (targets) targetPa = targets[place - 1]! + (targets[place]! - targets[place - 1]!) * within;
    } else {
      const force = s.brakeTorqueNm * forcePerNm - roadLoadForceN(prepared, s.roadSpeedMPerS);
      s.engineSpeedRpm = Math.max(300, s.engineSpeedRpm + (dt * force) / mass / perRpm);
    }
    s.roadSpeedMPerS = perRpm * s.engineSpeedRpm;
    stepAir(path, s, driver, dt);
    const shaft = (s.shaftRadPerS * 30) / Math.PI;
    if (shaft > record.peakShaftRpm) record.peakShaftRpm = shaft;
    if (s.compressorOutletK > record.peakOutletK) record.peakOutletK = s.compressorOutletK;
    if (++row % rowEvery === 0) addRow(record, s, ambientPa);
    if (!given && s.engineSpeedRpm >= endRpm) {
      record.end = 'rev limit';
      break;
    }
    if (endAtShare !== undefined && s.manifoldPressurePa - ambientPa >= endAtShare * (s.targetPa - ambientPa)) {
      record.end = 'arrived';
      break;
    }
    if (!isSoundState(s)) {
      record.sound = false;
      break;
    }
    // A car that the gear is too tall for slows down instead.
    if (!given && s.timeS > 4 && s.engineSpeedRpm < 0.9 * startRpm) {
      record.end = 'stalled';
      break;
    }
  }
  return record;
};
