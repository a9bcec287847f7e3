/** From the air that burns to power at the crank: one path that the estimates from air and from fuel share. */
import type { Car } from '../../car/index.ts';
import {
  ACCESSORY_POWER_W,
  cylinderFactsOf,
  frictionPressurePa,
  meanValueCylinder,
  newCharge,
  newCylinderAnswer,
} from '../../match/index.ts';
import { powerFromMeanPressureW, pumpingPressurePa } from '../../physics/index.ts';
import type { LogErrors } from './log-errors.ts';

/** State of the engine at one moment, as logged or estimated. */
export interface EngineState {
  readonly engineSpeedRpm: number;
  /** Dry air that the cylinders take [kg/s]. */
  readonly dryAirKgPerS: number;
  readonly manifoldPressurePa: number;
  readonly exhaustPressurePa: number;
  readonly chargeTemperatureK: number;
  readonly lambda: number;
  /** [deg before top dead centre], or NaN: the estimate of what an engine computer would run. */
  readonly sparkAdvanceDeg: number;
  /** Share of the firings that do nothing. */
  readonly misfireShare: number;
}

/** Specific heat of air near a manifold's temperature [J/(kg K)]. Source: ASHRAE Fundamentals (2017) ch. 1. */
const AIR_SPECIFIC_HEAT_J_PER_KG_K = 1006;

/** What burning gives and what turning costs, for one car: what does not change between moments is computed once. */
export const burning = (car: Car, errors: LogErrors) => {
  const facts = cylinderFactsOf(car);
  const charge = newCharge(0);
  const answer = newCylinderAnswer();
  const latentPerAir = car.fuel.latentHeatJPerKg / (car.fuel.stoichiometricAirFuelRatio * AIR_SPECIFIC_HEAT_J_PER_KG_K);
  return {
    heatPerAirJPerKg: facts.heatPerAirJPerKg,
    accessoryPowerW: ACCESSORY_POWER_W + errors.accessoryPowerW,
    /** Gross work over the heat that the air can burn [-]. */
    efficiency: (state: Omit<EngineState, 'dryAirKgPerS'>): number => {
      charge.engineSpeedRpm = state.engineSpeedRpm;
      charge.manifoldPressurePa = state.manifoldPressurePa;
      charge.exhaustPressurePa = state.exhaustPressurePa;
      charge.chargeTemperatureK = state.chargeTemperatureK;
      charge.lambda = state.lambda;
      charge.evaporationCoolingK = latentPerAir / state.lambda;
      const logged = Number.isFinite(state.sparkAdvanceDeg);
      // An error of best timing moves the loss the same way as an opposite error of the spark.
      meanValueCylinder.burn(charge, facts, logged ? state.sparkAdvanceDeg - errors.bestTimingDeg : null, answer);
      return answer.indicatedEfficiency * (logged ? 1 : 1 + errors.unloggedTiming) * (1 - state.misfireShare);
    },
    /** Friction and pumping [W]. */
    lossW: (engineSpeedRpm: number, manifoldPressurePa: number, exhaustPressurePa: number): number =>
      powerFromMeanPressureW(
        frictionPressurePa(car.engine, engineSpeedRpm) + pumpingPressurePa(exhaustPressurePa, manifoldPressurePa),
        car.engine.displacementM3,
        engineSpeedRpm,
      ),
  };
};

/** Maker of {@link brakePowerW} for one car. */
export const torquePath = (car: Car, errors: LogErrors) => {
  const { heatPerAirJPerKg, accessoryPowerW, efficiency, lossW } = burning(car, errors);
  /**
   * Net brake power before the engine's own acceleration [W]: heat that the air can burn times gross indicated efficiency,
   * less friction, pumping and accessories: P = m_air (LHV / AFR_s) eta - (fmep + p_exhaust - p_intake) Vd N / 2 - Pa.
   * Source: Heywood (1988) eq. 2.19, 5.1 and sect. 13.1; efficiency factors as the match has them.
   */
  const brakePowerW = (state: EngineState): number =>
    state.dryAirKgPerS * heatPerAirJPerKg * efficiency(state) -
    lossW(state.engineSpeedRpm, state.manifoldPressurePa, state.exhaustPressurePa) -
    accessoryPowerW;
  return brakePowerW;
};

const sameNumbers = <T extends object>(a: T, b: T, keys: readonly (keyof T)[]): boolean =>
  keys.every((key) => a[key] === b[key]);

/** Errors that enter pressures, and those that enter what burning gives besides. */
const PRESSURE_ERRORS = ['manifoldPressureGain', 'manifoldPressureOffsetPa', 'exhaustPressureGain'] as const;
const BURNING_ERRORS = [
  ...PRESSURE_ERRORS,
  'chargeTemperatureK',
  'chargeTemperatureLagS',
  'lambdaGain',
  'bestTimingDeg',
  'unloggedTiming',
] as const;

/** A car with the errors of its log. */
interface Told {
  readonly car: Car;
  readonly errors: LogErrors;
}

/** Whether two cars with the same readings burn alike: same efficiency at every moment. */
export const burnAlike = (one: Told, other: Told): boolean => {
  const [a, b] = [cylinderFactsOf(one.car), cylinderFactsOf(other.car)];
  return (
    sameNumbers(a, b, Object.keys(a) as (keyof typeof a)[]) &&
    sameNumbers(one.car.fuel, other.car.fuel, ['latentHeatJPerKg', 'stoichiometricAirFuelRatio']) &&
    sameNumbers(one.errors, other.errors, BURNING_ERRORS)
  );
};

/** Whether two cars with the same readings lose alike: same friction and pumping at every moment. */
export const loseAlike = (one: Told, other: Told): boolean =>
  sameNumbers(one.car.engine, other.car.engine, [
    'displacementM3',
    'frictionPressurePa',
    'frictionPerSpeedPa',
    'frictionPerSpeedSquaredPa',
  ]) && sameNumbers(one.errors, other.errors, PRESSURE_ERRORS);
