/** The steady match at full throttle: a car in given air, engine speed by engine speed. */
import type { Car } from '../car/index.ts';
import { balanceAt, type Held, newBalance, type Solver } from './balance.ts';
import { type CylinderModel, newCharge, newCylinderAnswer } from './cylinder.ts';
import { finishPoint, isSound, solveCase } from './point.ts';
import { curveAt, type Prepared, prepare } from './prepare.ts';
import type { Conditions, MatchCase, MatchPoint, MatchProblem, MatchResult } from './types.ts';

export interface MatchOptions {
  /** Engine speeds to solve [rpm], rising. Default: 60 from a quarter of the rev limit to the rev limit. */
  readonly engineSpeedsRpm?: readonly number[] | undefined;
  /** Added to the boost target at every engine speed [Pa]. */
  readonly boostTargetOffsetPa?: number | undefined;
  /** One boost for all engine speeds instead of the car's curve [Pa over outside]. */
  readonly boostTargetPa?: number | undefined;
  /** True: full throttle held until the charge cooler's core has settled. Default: one pull in a middle gear. */
  readonly sustained?: boolean | undefined;
  readonly cylinder?: CylinderModel | undefined;
}

/** ISO 2533 sea-level air, dry. */
export const STANDARD_CONDITIONS: Conditions = {
  ambientPressurePa: 101325,
  ambientTemperatureK: 288.15,
  relativeHumidity: 0,
};

/** Engine speeds spread evenly from a quarter of the rev limit (no lower than 1000 rpm) to the rev limit. */
export const usualEngineSpeedsRpm = (car: Car, count = 60): number[] => {
  const limit = car.engine.revLimitRpm;
  const from = Math.min(0.9 * limit, Math.max(1000, 0.25 * limit));
  return Array.from({ length: count }, (_, i) => from + ((limit - from) * i) / Math.max(1, count - 1));
};

/** Boost target at an engine speed as absolute pressure [Pa]. */
export const boostTargetAbsolutePa = (prepared: Prepared, engineSpeedRpm: number, options: MatchOptions): number => {
  const { car, conditions } = prepared;
  const ambient = conditions.ambientPressurePa;
  if (options.boostTargetPa !== undefined) return ambient + options.boostTargetPa;
  const asked = curveAt(car.curves.boostTarget, engineSpeedRpm);
  return asked + (car.curves.boostIsGauge ? ambient : 0) + (options.boostTargetOffsetPa ?? 0);
};

/** Everything that holds at one engine speed whatever the boost. */
export const solverAt = (
  prepared: Prepared,
  engineSpeedRpm: number,
  options: MatchOptions = {},
  held: Held = {},
  balance = newBalance(),
): Solver => {
  const { car } = prepared;
  return {
    prepared,
    cylinderModel: options.cylinder ?? prepared.cylinderModel,
    engineSpeedRpm,
    baseFilling: Math.max(0.05, curveAt(car.curves.volumetricEfficiency, engineSpeedRpm)),
    lambdaTarget: Math.max(0.4, curveAt(car.curves.lambdaTarget, engineSpeedRpm)),
    sparkAdvanceDeg: car.curves.sparkAdvance ? curveAt(car.curves.sparkAdvance, engineSpeedRpm) : null,
    sustained: options.sustained ?? false,
    held,
    balance,
    cylinder: newCylinderAnswer(),
    charge: newCharge(engineSpeedRpm),
  };
};

/**
 * Matches a car at full throttle.
 *
 * Total: every engine speed gives a point of finite numbers or a problem 'no balance found' without one. Beyond the
 * compressor map, the wastegate, the injectors or the pump the point says so in `problems`.
 */
export const matchCar = (car: Car, conditions: Conditions, options: MatchOptions = {}): MatchResult => {
  if (car.facts.aspiration === 'natural') {
    const says = 'A naturally aspirated engine has no turbocharger to match; part load is answered for it.';
    return { conditions, points: [], problems: [{ engineSpeedRpm: 0, reason: 'no turbocharger', says }] };
  }
  const prepared = prepare(car, conditions);
  const points: MatchPoint[] = [];
  const problems: MatchProblem[] = [];
  let balance = newBalance();
  let likely: MatchCase | undefined;
  for (const engineSpeedRpm of options.engineSpeedsRpm ?? usualEngineSpeedsRpm(car)) {
    const solver = solverAt(prepared, engineSpeedRpm, options, {}, balance);
    const solved = solveCase(solver, boostTargetAbsolutePa(prepared, engineSpeedRpm, options), likely);
    likely = solved.case;
    if (isSound(balance)) points.push(finishPoint(solver, solved, problems));
    else {
      problems.push({
        engineSpeedRpm,
        reason: 'no balance found',
        says: 'The flows have no balance at this engine speed with these numbers; look for one that is far off.',
      });
      balance = newBalance();
    }
  }
  return { conditions, points, problems };
};

/** What a log knows about one moment; the rest is computed. */
export interface MeasuredState {
  readonly engineSpeedRpm: number;
  readonly manifoldPressurePa: number;
  readonly chargeTemperatureK?: number;
  readonly lambda?: number;
  readonly sparkAdvanceDeg?: number;
  readonly exhaustPressurePa?: number;
}

/**
 * The whole point at a logged state: manifold pressure held whatever the turbocharger would give, and charge temperature,
 * lambda, timing and exhaust pressure taken from the log where it has them. Where the wastegate cannot balance the shaft
 * at this pressure (a moment of spooling up) exhaust pressure is that of a shut wastegate.
 * Null where there is no finite answer.
 */
export const predictAt = (car: Car, state: MeasuredState, conditions: Conditions): MatchPoint | null => {
  const prepared = prepare(car, conditions);
  const held: Held = {
    chargeTemperatureK: state.chargeTemperatureK,
    lambda: state.lambda,
    sparkAdvanceDeg: state.sparkAdvanceDeg,
    exhaustPressurePa: state.exhaustPressurePa,
  };
  const solver = solverAt(prepared, state.engineSpeedRpm, {}, held);
  const pm = Math.max(10e3, state.manifoldPressurePa);
  balanceAt(solver, pm, 'shaft balance', 0);
  if (held.exhaustPressurePa === undefined && solver.balance.wastegateOpening < 0) balanceAt(solver, pm, 'opening', 0);
  if (!isSound(solver.balance)) return null;
  return finishPoint(solver, { case: 'boost held', targetPa: pm }, []);
};

/** Crank power [W] at a logged state; see {@link predictAt}. Null where there is no finite answer. */
export const powerFromState = (car: Car, state: MeasuredState, conditions: Conditions): number | null => {
  const point = predictAt(car, state, conditions);
  return point === null ? null : point.powerW;
};
