/** Injectors and pump at one point: duty, pulse, rail pressure, and the pump's share. */
import type { Car } from '../car/index.ts';
import { cycleTimeS, injectorDifferentialPa, injectorFlowAtPressureM3PerS } from '../physics/index.ts';

export interface FuelDelivery {
  /** Open time with dead time over the time of one cycle [-]; over 1 is static. */
  readonly duty: number;
  readonly pulseS: number;
  /** Rail over manifold pressure [Pa], as far as the pump holds it. */
  readonly railPressurePa: number;
  /** Fuel asked for over what the pump gives at that pressure and voltage [-]. */
  readonly pumpFlowShare: number;
}

/** Voltage at which pumps are rated [V] (see the field `fuelSystem.pumpFlow`). */
const PUMP_RATING_V = 13.5;
/** Voltage at which the dead time is given [V]. */
const DEAD_TIME_RATING_V = 14;

/** Dead time [s] at the charging voltage: linear about 14 V, never below nought. */
const deadTimeS = (car: Car): number => {
  const { injectorDeadTimeS, injectorDeadTimePerVoltSPerV } = car.fuelSystem;
  return Math.max(
    0,
    injectorDeadTimeS + injectorDeadTimePerVoltSPerV * (DEAD_TIME_RATING_V - car.electrical.alternatorVoltageV),
  );
};

/** Flow [kg/s] of one injector held open with a pressure across it. Source: square-root law, check value IN-01. */
export const injectorFlowKgPerS = (car: Car, railOverManifoldPa: number): number =>
  injectorFlowAtPressureM3PerS(
    car.fuelSystem.injectorFlowM3PerS,
    car.fuelSystem.injectorReferencePressurePa,
    railOverManifoldPa,
  ) * car.fuel.densityKgPerM3;

/**
 * What injectors and pump have to do for a fuel flow.
 * The pump's flow falls in a straight line with pressure over the tank and goes with a power of voltage; where it cannot
 * give what is asked the rail falls to where it can. One injection per cycle (check value IN-04, IN-06).
 */
export const fuelDelivery = (
  car: Car,
  engineSpeedRpm: number,
  boostPa: number,
  fuelFlowKgPerS: number,
): FuelDelivery => {
  const { railPressurePa, pumpFlowM3PerS, pumpReferencePressurePa, pumpFallPerPressure, pumpVoltageExponent } =
    car.fuelSystem;
  const cycleS = cycleTimeS(engineSpeedRpm);
  // Without a reference to the manifold, boost pushes back against the injector.
  const reference = car.facts.regulatorReferenced ? 'manifold' : 'atmosphere';
  const setPa = injectorDifferentialPa(railPressurePa, boostPa, reference);
  const overTankPa = car.facts.regulatorReferenced ? railPressurePa + boostPa : railPressurePa;
  const atVoltage = pumpFlowM3PerS * (car.electrical.alternatorVoltageV / PUMP_RATING_V) ** pumpVoltageExponent;
  const fall = (pumpFallPerPressure * (overTankPa - pumpReferencePressurePa)) / 300e3;
  const available = atVoltage * Math.max(0.02, 1 - fall);
  const demand = fuelFlowKgPerS / car.fuel.densityKgPerM3;
  const share = demand / available;
  let rail = Math.max(10e3, setPa);
  if (share > 1 && pumpFallPerPressure > 0) {
    const overTank = pumpReferencePressurePa + (300e3 * (1 - demand / atVoltage)) / pumpFallPerPressure;
    rail = Math.max(10e3, Math.min(rail, overTank - boostPa));
  }
  const open = (fuelFlowKgPerS / Math.max(1, car.facts.injectorCount) / injectorFlowKgPerS(car, rail)) * cycleS;
  const pulseS = open + deadTimeS(car);
  return { duty: pulseS / cycleS, pulseS, railPressurePa: rail, pumpFlowShare: share };
};
