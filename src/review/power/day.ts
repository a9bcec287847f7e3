/** The air of the day as the log tells it, and what had to be assumed. */
import { channelNamed, type Log, medianOf, quantileOf } from '../../logs/index.ts';
import type { Conditions } from '../../match/types.ts';
import {
  humidityRatioFromVapourPressure,
  moistAirGasConstantJPerKgK,
  waterSaturationPressurePa,
} from '../../physics/index.ts';

export interface Day {
  readonly barometricPressurePa: number;
  readonly ambientTemperatureK: number;
  readonly ambientTemperatureKnown: boolean;
  readonly relativeHumidity: number;
  /** Dry air per air as drawn [kg/kg]. */
  readonly dryShare: number;
  /** Of the air as drawn [J/(kg K)]. */
  readonly gasConstantJPerKgK: number;
  readonly densityKgPerM3: number;
}

/** No log tells it: half saturated, the middle of what roads see (common practice, no source). */
const ASSUMED_RELATIVE_HUMIDITY = 0.5;
/** ISO 2533 sea level. */
const ASSUMED_TEMPERATURE_K = 288.15;

const days = new WeakMap<Log, Day>();

/**
 * Outside air of a log: its own sensors, else the standard atmosphere's temperature, marked as not known. Every pull asks for
 * it, and it takes a look at every reading: so it is worked out once for a log.
 */
export const dayOf = (log: Log): Day => {
  const known = days.get(log);
  if (known) return known;
  const day = workedOut(log);
  days.set(log, day);
  return day;
};

const workedOut = (log: Log): Day => {
  const outside = channelNamed(log, 'ambient-temperature');
  const intake = channelNamed(log, 'intake-temperature');
  const charge = channelNamed(log, 'charge-temperature');
  const measured = outside ? medianOf(outside.values) : intake ? quantileOf(intake.values, 0.1) : null;
  // A charge sensor is never much below outside air; its coolest reading bounds the guess from above.
  const coolest = charge ? quantileOf(charge.values, 0.02) : null;
  const guessed = coolest === null ? ASSUMED_TEMPERATURE_K : Math.min(ASSUMED_TEMPERATURE_K + 12, coolest - 6);
  const ambientTemperatureK = Math.min(330, Math.max(240, measured ?? guessed));
  const barometricPressurePa = log.barometricPressurePa;
  const saturation = waterSaturationPressurePa(ambientTemperatureK);
  const vapourPa = saturation.ok ? ASSUMED_RELATIVE_HUMIDITY * saturation.value : 0;
  const ratio = humidityRatioFromVapourPressure(vapourPa, barometricPressurePa);
  const humidityRatio = ratio.ok ? ratio.value : 0;
  const gasConstantJPerKgK = moistAirGasConstantJPerKgK(humidityRatio);
  return {
    barometricPressurePa,
    ambientTemperatureK,
    ambientTemperatureKnown: measured !== null,
    relativeHumidity: ASSUMED_RELATIVE_HUMIDITY,
    dryShare: 1 / (1 + humidityRatio),
    gasConstantJPerKgK,
    densityKgPerM3: barometricPressurePa / (gasConstantJPerKgK * ambientTemperatureK),
  };
};

/** The same as conditions of a match. */
export const conditionsOf = (day: Day): Conditions => ({
  ambientPressurePa: day.barometricPressurePa,
  ambientTemperatureK: day.ambientTemperatureK,
  relativeHumidity: day.relativeHumidity,
});
