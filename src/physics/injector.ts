/** Port fuel injectors: flow against pressure, duty, pulse width and dead time. Four-stroke timing. */
import { type Curve, monotoneCurve } from './curves.ts';
import { mapSolved, type Solved, solved, unsolved } from './reason.ts';

/**
 * Static flow at another pressure, Q = Q0 sqrt(dp/dp0).
 *
 * @param ratedFlowM3PerS [m3/s]
 * @param ratedDifferentialPa rail less manifold at which it was rated [Pa], above 0
 * @param differentialPa now [Pa]; zero or less gives no flow
 * @returns [m3/s]
 * Source: square-root law of an orifice.
 */
export const injectorFlowAtPressureM3PerS = (
  ratedFlowM3PerS: number,
  ratedDifferentialPa: number,
  differentialPa: number,
): number => ratedFlowM3PerS * Math.sqrt(Math.max(0, differentialPa) / ratedDifferentialPa);

/** How the pressure regulator is fed. */
export type RegulatorReference = 'manifold' | 'atmosphere';

/**
 * Pressure over the injector, rail less manifold.
 *
 * @param basePressurePa regulator setting over its reference [Pa]
 * @param boostPa manifold gauge pressure [Pa], negative in vacuum
 * @param reference manifold: the setting follows boost; atmosphere: boost takes from it
 * @returns [Pa]
 * Source: definition.
 */
export const injectorDifferentialPa = (
  basePressurePa: number,
  boostPa: number,
  reference: RegulatorReference,
): number => (reference === 'manifold' ? basePressurePa : basePressurePa - boostPa);

/** Volume flow [m3/s] of another liquid at the same pressure, Q sqrt(rho0/rho), densities [kg/m3]. Source: square-root law. */
export const injectorFlowForDensityM3PerS = (
  flowM3PerS: number,
  ratedDensityKgPerM3: number,
  densityKgPerM3: number,
): number => flowM3PerS * Math.sqrt(ratedDensityKgPerM3 / densityKgPerM3);

/** Time of one four-stroke cycle [s] at an engine speed above 0 [rpm], 120 / N. Definition. */
export const cycleTimeS = (engineSpeedRpm: number): number => 120 / engineSpeedRpm;

/** Duty [-] of one pulse [s] per cycle at an engine speed [rpm]; above 1 the injector never closes. Definition. */
export const injectorDuty = (pulseWidthS: number, engineSpeedRpm: number): number =>
  pulseWidthS / cycleTimeS(engineSpeedRpm);

/** Pulse width [s] from duty [-] at an engine speed above 0 [rpm]; inverse of {@link injectorDuty}. Definition. */
export const pulseWidthAtDutyS = (duty: number, engineSpeedRpm: number): number => duty * cycleTimeS(engineSpeedRpm);

/**
 * Pulse width for a fuel mass, m / (rho Q) + dead time.
 *
 * @param fuelPerPulseKg [kg]
 * @param densityKgPerM3 [kg/m3]
 * @param staticFlowM3PerS at the present pressure [m3/s], above 0
 * @param deadTimeS at the present voltage and pressure [s]
 * @returns [s]
 * Source: definition of dead time.
 */
export const pulseWidthS = (
  fuelPerPulseKg: number,
  densityKgPerM3: number,
  staticFlowM3PerS: number,
  deadTimeS: number,
): number => fuelPerPulseKg / (densityKgPerM3 * staticFlowM3PerS) + deadTimeS;

/** Fuel [kg] of a pulse [s]; inverse of {@link pulseWidthS}; none while the pulse is within the dead time. Definition. */
export const fuelPerPulseKg = (
  pulseS: number,
  densityKgPerM3: number,
  staticFlowM3PerS: number,
  deadTimeS: number,
): number => Math.max(0, pulseS - deadTimeS) * densityKgPerM3 * staticFlowM3PerS;

/** What the injectors are asked for. */
export interface InjectorDemand {
  readonly pulseWidthS: number;
  readonly duty: number;
}

/**
 * Pulse and duty for a fuel flow, one pulse per cylinder and cycle.
 *
 * @param fuelFlowKgPerS all cylinders [kg/s]
 * @param injectors how many [-]
 * @param engineSpeedRpm [rpm], above 0
 * @param densityKgPerM3 [kg/m3]
 * @param staticFlowM3PerS of one injector at the present pressure [m3/s]
 * @param deadTimeS [s]
 * @returns pulse [s] and duty [-]; a duty above 1 means that they are static and the mixture goes lean. Reason:
 * `input-out-of-range` without flow.
 * Source: mass balance.
 */
export const injectorDemand = (
  fuelFlowKgPerS: number,
  injectors: number,
  engineSpeedRpm: number,
  densityKgPerM3: number,
  staticFlowM3PerS: number,
  deadTimeS: number,
): Solved<InjectorDemand> => {
  if (
    !(staticFlowM3PerS > 0 && injectors > 0 && engineSpeedRpm > 0 && densityKgPerM3 > 0) ||
    !(fuelFlowKgPerS >= 0 && deadTimeS >= 0)
  ) {
    return unsolved('input-out-of-range', 'Injectors need a flow, a count, a density and an engine speed above zero.');
  }
  const perPulse = (fuelFlowKgPerS * cycleTimeS(engineSpeedRpm)) / injectors;
  const pulse = pulseWidthS(perPulse, densityKgPerM3, staticFlowM3PerS, deadTimeS);
  return solved({ pulseWidthS: pulse, duty: injectorDuty(pulse, engineSpeedRpm) });
};

/**
 * Power that a set of injectors can feed.
 *
 * @param injectors how many [-]
 * @param staticFlowM3PerS of one at working pressure [m3/s]
 * @param densityKgPerM3 [kg/m3]
 * @param duty largest duty [-]
 * @param specificConsumptionKgPerJ brake specific fuel consumption [kg/J]
 * @returns [W]
 * Source: definition of brake specific fuel consumption.
 */
export const injectorPowerCapacityW = (
  injectors: number,
  staticFlowM3PerS: number,
  densityKgPerM3: number,
  duty: number,
  specificConsumptionKgPerJ: number,
): number => (injectors * staticFlowM3PerS * densityKgPerM3 * duty) / specificConsumptionKgPerJ;

/**
 * Dead time against voltage from a data sheet's points.
 *
 * @param voltagesV [V], rising
 * @param deadTimesS [s]
 * @returns a curve of [s] over [V], held at its ends. Reason: `table-malformed`.
 * Source: the points; shape-keeping interpolation between them.
 */
export const deadTimeCurve = (voltagesV: readonly number[], deadTimesS: readonly number[]): Solved<Curve> =>
  mapSolved(monotoneCurve(voltagesV, deadTimesS), (curve) => curve);
