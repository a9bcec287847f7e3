/** Crank power from the fuel that goes in: injectors, rail pressure and mixture give the air, and the air gives torque. */
import type { Car } from '../../car/index.ts';
import {
  cycleTimeS,
  injectorDifferentialPa,
  injectorFlowAtPressureM3PerS,
  METHANOL,
  pulseWidthAtDutyS,
  waterMethanolDensityKgPerM3,
} from '../../physics/index.ts';
import { type PartReadings, readingAt } from './engine-readings.ts';
import type { LogErrors } from './log-errors.ts';

/** Voltage to which the build's dead time belongs [V]. */
const DEAD_TIME_VOLTAGE_V = 14;
/** With the injector shut for less than this it does not close any more [s] (usual closing time; common practice, no source). */
const LEAST_SHUT_S = 1.5e-3;
/** Temperature of the injected mix in its tank [K]. */
const MIX_TEMPERATURE_K = 293.15;

/**
 * Share of the time for which an injector is open: (pulse - dead time) / period, rising to 1 as the shut time left
 * becomes too short for it to close.
 *
 * @param pulseS electrical pulse [s]
 * @param deadTimeS at the voltage of the moment [s]
 * @param periodS between pulses [s]: 120 / N of a four-stroke with one injection per cycle
 * @returns [-], 0 to 1
 * Source: definition of dead time.
 */
export const injectorOpenShare = (pulseS: number, deadTimeS: number, periodS: number): number => {
  const metering = (pulseS - deadTimeS) / periodS;
  const shutS = periodS - pulseS;
  if (shutS <= 0) return 1;
  if (shutS >= LEAST_SHUT_S) return Math.max(0, metering);
  // Between the last shut time that still works and none at all the flow goes over to the open injector's.
  const kept = shutS / LEAST_SHUT_S;
  return Math.max(0, metering * kept + (1 - kept));
};

/** Fuel through the injectors [kg/s] on the grid; NaN where neither pulse nor duty was logged. */
export const fuelFlowByInjectors = (readings: PartReadings, car: Car, errors: LogErrors): Float64Array => {
  const { series, day } = readings;
  const { injectorFlowM3PerS: rated, injectorReferencePressurePa, railPressurePa, injectorDeadTimeS } = car.fuelSystem;
  const { injectorDeadTimePerVoltSPerV } = car.fuelSystem;
  return series.timesS.map((_, i) => {
    const { engineSpeedRpm, manifoldPressurePa } = readingAt(readings, errors, i);
    const logged = series.injectorPulseS?.[i] ?? Number.NaN;
    const duty = series.injectorDuty?.[i] ?? Number.NaN;
    const pulseS = Number.isFinite(logged) ? logged : pulseWidthAtDutyS(duty, engineSpeedRpm);
    const voltage = series.batteryVoltageV?.[i] ?? Number.NaN;
    const volts = Number.isFinite(voltage) ? voltage : car.electrical.alternatorVoltageV;
    const deadTimeS = injectorDeadTimeS + injectorDeadTimePerVoltSPerV * (DEAD_TIME_VOLTAGE_V - volts);
    const boostPa = (Number.isFinite(manifoldPressurePa) ? manifoldPressurePa : Number.NaN) - day.barometricPressurePa;
    const gauge = series.fuelPressureGaugePa?.[i] ?? Number.NaN;
    const reference = car.facts.regulatorReferenced ? 'manifold' : 'atmosphere';
    const held = injectorDifferentialPa(railPressurePa, boostPa, reference);
    const measured = gauge - boostPa;
    const differencePa = (Number.isFinite(measured) ? measured : held) + errors.fuelPressurePa;
    return (
      car.facts.injectorCount *
      injectorFlowAtPressureM3PerS(rated, injectorReferencePressurePa, differencePa) *
      injectorOpenShare(pulseS, deadTimeS, cycleTimeS(engineSpeedRpm)) *
      car.fuel.densityKgPerM3
    );
  });
};

/** Air that the injected methanol burns at stoichiometric [kg/s] per injected mix [m3/s]. */
const airPerInjectedVolume = (car: Car): number => {
  const methanol = car.injection.methanolMassFraction;
  const density = waterMethanolDensityKgPerM3(methanol, MIX_TEMPERATURE_K);
  return density.ok ? density.value * methanol * METHANOL.stoichiometricAirFuelRatio : 0;
};

/** Air as drawn [kg/s] that the measured fuel and lambda mean: m_air = lambda (m_fuel AFR_s + m_methanol AFR_m). */
export const airByFuel = (readings: PartReadings, car: Car, errors: LogErrors): Float64Array => {
  const perVolume = airPerInjectedVolume(car);
  const { series, day } = readings;
  return fuelFlowByInjectors(readings, car, errors).map((fuel, i) => {
    const { lambda } = readingAt(readings, errors, i);
    const logged = series.injectionFlowM3PerS?.[i] ?? Number.NaN;
    const boostPa = readings.manifoldPressurePa[i]! - day.barometricPressurePa;
    const assumed =
      car.facts.hasInjection && boostPa > car.injection.startBoostGaugePa
        ? car.injection.nozzleFlowM3PerS * Math.sqrt(Math.max(0, 1 - boostPa / car.injection.pumpPressureGaugePa))
        : 0;
    const injected = (Number.isFinite(logged) ? logged : assumed) * (1 + errors.injectionFlowGain);
    return (lambda * (fuel * car.fuel.stoichiometricAirFuelRatio + injected * perVolume)) / day.dryShare;
  });
};
