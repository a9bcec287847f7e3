/** For tests: one full-throttle pull driven forwards in time by the equations of motion, logged without error. */
import type { Car } from '../../car/index.ts';
import type { Log } from '../../logs/index.ts';
import { injectorFlowAtPressureM3PerS, residualFillingFactor, speedDensityAirFlowKgPerS } from '../../physics/index.ts';
import { curveReader } from '../context.ts';
import { syntheticLog, through } from '../findings/synthetic-log.ts';
import { rollingGrowth, tyreGripShare } from './acceleration.ts';
import { NO_ERRORS } from './log-errors.ts';
import { torquePath } from './torque-path.ts';

export const OUTSIDE_PA = 100e3;
export const OUTSIDE_K = 293.15;
const GRAVITY = 9.80665;
/** Moist air at half saturation and 20 degC: humidity ratio 0.0073. Source: ASHRAE Fundamentals (2017) ch. 1. */
const DRY_SHARE = 1 / 1.0073;
const AIR_GAS_CONSTANT = 287.05 * (1 + 0.6078 * (0.0073 / 1.0073));

export interface DriveOptions {
  readonly gear?: number;
  readonly fromRpm?: number;
  readonly toRpm?: number;
  readonly rateHz?: number;
  /** Added to every engine speed reading [rpm], made from the time so that it repeats. */
  readonly speedNoiseRpm?: number;
  /** Full manifold pressure [Pa]. */
  readonly boostPa?: number;
}

export interface Drive {
  readonly log: Log;
  /** Crank power [W] in the car at a time [s]. */
  readonly powerAt: (timeS: number) => number;
  readonly speedAt: (timeS: number) => number;
  readonly startS: number;
  readonly endS: number;
}

/** The pull of a car: what is logged is what the car really does, so a told car that differs sees the difference. */
export const powerDrive = (car: Car, options: DriveOptions = {}): Drive => {
  const { gear = 3, fromRpm = 2500, toRpm = 6200, rateHz = 25, speedNoiseRpm = 0, boostPa = 200e3 } = options;
  const startS = 3;
  const filling = curveReader(car.curves.volumetricEfficiency);
  const brakePowerW = torquePath(car, NO_ERRORS);
  // A held boost ripples; one that stands still to the last digit is a sensor at its end.
  const held = through(
    [0, 60e3],
    [startS, 60e3],
    [startS + 1.2, 0.9 * boostPa],
    [startS + 1.8, boostPa],
    [60, boostPa],
  );
  const manifold = (at: number) => held(at) + (at > startS ? 400 * Math.sin(9 * at) : 0);
  const chargeK = 313;
  const lambda = 0.83;
  const sparkAdvanceDeg = 14;
  const exhaust = (timeS: number) => 1.15 * manifold(timeS);
  const air = (timeS: number, rpm: number): number => {
    const residual = residualFillingFactor(car.engine.compressionRatio, exhaust(timeS) / manifold(timeS));
    const ve = filling(rpm) * (1 - car.learned.residualEffect * (1 - residual));
    return speedDensityAirFlowKgPerS(ve, car.engine.displacementM3, rpm, manifold(timeS), chargeK, AIR_GAS_CONSTANT);
  };
  const power = (timeS: number, rpm: number): number =>
    brakePowerW({
      engineSpeedRpm: rpm,
      dryAirKgPerS: air(timeS, rpm) * DRY_SHARE,
      manifoldPressurePa: manifold(timeS),
      exhaustPressurePa: exhaust(timeS),
      chargeTemperatureK: chargeK,
      lambda,
      sparkAdvanceDeg,
      misfireShare: 0,
    });
  // Newton's law for engine side and car side with the tyre between them; steps of 1 ms, explicit.
  const ratio = car.facts.gearRatios[gear - 1]! * car.driveline.finalDrive;
  const radius = car.tyres.rollingRadiusM;
  const engineInertia = car.engine.inertiaKgM2 + car.driveline.inputInertiaKgM2;
  const turning = engineInertia + car.driveline.drivenInertiaKgM2 / (ratio * ratio * car.driveline.efficiency);
  const density = OUTSIDE_PA / (AIR_GAS_CONSTANT * OUTSIDE_K);
  const weight = car.body.massKg * GRAVITY;
  let wheel = (fromRpm * Math.PI) / 30 / ratio;
  let speed = wheel * radius * 0.985;
  let acceleration = 0;
  const times: number[] = [];
  const speeds: number[] = [];
  const step = 1e-3;
  let timeS = 0;
  for (; timeS < 60; timeS += step) {
    const rpm = (wheel * ratio * 30) / Math.PI;
    times.push(timeS);
    speeds.push(rpm);
    if (rpm > toRpm) break;
    if (timeS < startS) continue;
    const shift = (car.body.centreOfGravityHeight * acceleration) / GRAVITY;
    const axle = { all: 1, front: car.body.drivenAxleLoad - shift, rear: car.body.drivenAxleLoad + shift };
    const grip = car.tyres.grip * weight * axle[car.facts.driven];
    const force = grip * tyreGripShare(Math.max(0, 1 - speed / (wheel * radius)));
    const torque = power(timeS, rpm) / ((rpm * Math.PI) / 30);
    const wheelRise = (torque - (force * radius) / (ratio * car.driveline.efficiency)) / turning / ratio;
    const drag = 0.5 * density * car.body.dragAreaM2 * speed * speed;
    const rolling = weight * car.body.rollingResistance * rollingGrowth(speed);
    acceleration = (force - drag - rolling) / (car.body.massKg + car.driveline.undrivenRotatingMassKg);
    wheel += wheelRise * step;
    speed += acceleration * step;
  }
  const endS = timeS;
  const speedAt = (at: number): number => {
    const place = Math.min(speeds.length - 1, Math.max(0, at / step));
    const below = Math.floor(place);
    return speeds[below]! + (speeds[Math.min(below + 1, speeds.length - 1)]! - speeds[below]!) * (place - below);
  };
  const deadTimeS = car.fuelSystem.injectorDeadTimeS;
  const staticKgPerS =
    car.fuel.densityKgPerM3 *
    injectorFlowAtPressureM3PerS(
      car.fuelSystem.injectorFlowM3PerS,
      car.fuelSystem.injectorReferencePressurePa,
      car.fuelSystem.railPressurePa,
    );
  const pulse = (at: number): number => {
    const rpm = speedAt(at);
    const fuel = (air(at, rpm) * DRY_SHARE) / (lambda * car.fuel.stoichiometricAirFuelRatio);
    return deadTimeS + ((fuel / car.facts.injectorCount / staticKgPerS) * 120) / rpm;
  };
  const volume = car.intake.chargeVolumeM3 + car.intake.plenumVolumeM3;
  const filled = (at: number) =>
    (volume * (manifold(at + 0.01) - manifold(at - 0.01))) / 0.02 / (AIR_GAS_CONSTANT * 340);
  const noise = (at: number) => speedNoiseRpm * Math.sin(7919 * at * at + 13 * at);
  const log = syntheticLog({
    lengthS: endS + 1,
    rateHz,
    barometricPressurePa: OUTSIDE_PA,
    channels: {
      'engine-speed': (at) => speedAt(at) + noise(at),
      'manifold-pressure': manifold,
      'exhaust-pressure': exhaust,
      'charge-temperature': () => chargeK,
      'ambient-temperature': () => OUTSIDE_K,
      lambda: () => lambda,
      'spark-advance': () => sparkAdvanceDeg,
      'battery-voltage': () => 14,
      'injector-pulse': pulse,
      'fuel-pressure': (at) => car.fuelSystem.railPressurePa + manifold(at) - OUTSIDE_PA,
      'air-flow': (at) => air(at, speedAt(at)) + filled(at),
    },
    pulls: [[startS, endS, gear]],
  });
  return { log, powerAt: (at) => power(at, speedAt(at)), speedAt, startS, endS };
};

/** Mean power [W] of a drive over the times in which its engine speed lies in a bin's 250 rpm, from `settledS` on. */
export const truePowerInBin = (drive: Drive, centreRpm: number, settledS: number): number => {
  let sum = 0;
  let count = 0;
  for (let at = drive.startS + settledS; at <= drive.endS; at += 2e-3) {
    if (Math.abs(drive.speedAt(at) - centreRpm) > 125) continue;
    sum += drive.powerAt(at);
    count++;
  }
  return count > 0 ? sum / count : Number.NaN;
};
