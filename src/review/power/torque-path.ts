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

/** Maker of {@link brakePowerW} for one car: what does not change between moments is computed once. */
export const torquePath = (car: Car, errors: LogErrors) => {
  const facts = cylinderFactsOf(car);
  const charge = newCharge(0);
  const answer = newCylinderAnswer();
  const latentPerAir = car.fuel.latentHeatJPerKg / (car.fuel.stoichiometricAirFuelRatio * AIR_SPECIFIC_HEAT_J_PER_KG_K);
  /**
   * Net brake power before the engine's own acceleration [W]: heat that the air can burn times gross indicated efficiency,
   * less friction, pumping and accessories: P = m_air (LHV / AFR_s) eta - (fmep + p_exhaust - p_intake) Vd N / 2 - Pa.
   * Source: Heywood (1988) eq. 2.19, 5.1 and sect. 13.1; efficiency factors as the match has them.
   */
  const brakePowerW = (state: EngineState): number => {
    charge.engineSpeedRpm = state.engineSpeedRpm;
    charge.manifoldPressurePa = state.manifoldPressurePa;
    charge.exhaustPressurePa = state.exhaustPressurePa;
    charge.chargeTemperatureK = state.chargeTemperatureK;
    charge.lambda = state.lambda;
    charge.evaporationCoolingK = latentPerAir / state.lambda;
    const logged = Number.isFinite(state.sparkAdvanceDeg);
    // An error of best timing moves the loss the same way as an opposite error of the spark.
    meanValueCylinder.burn(charge, facts, logged ? state.sparkAdvanceDeg - errors.bestTimingDeg : null, answer);
    const efficiency = answer.indicatedEfficiency * (logged ? 1 : 1 + errors.unloggedTiming) * (1 - state.misfireShare);
    const losses =
      frictionPressurePa(car.engine, state.engineSpeedRpm) +
      pumpingPressurePa(state.exhaustPressurePa, state.manifoldPressurePa);
    return (
      state.dryAirKgPerS * facts.heatPerAirJPerKg * efficiency -
      powerFromMeanPressureW(losses, car.engine.displacementM3, state.engineSpeedRpm) -
      (ACCESSORY_POWER_W + errors.accessoryPowerW)
    );
  };
  return brakePowerW;
};
