/** What both estimates by combustion read off a part: pressures, temperatures, mixture, with the log's errors moved. */
import type { Car } from '../../car/index.ts';
import { curveReader } from '../context.ts';
import type { Day } from './day.ts';
import { exhaustPressureByShaftPa } from './exhaust-pressure.ts';
import type { LogErrors } from './log-errors.ts';
import type { PartSeries } from './part-series.ts';

/** Time constant of a charge temperature sensor in a fast stream [s]; open elements 0.5 to 2 s (common practice, no source). */
const CHARGE_SENSOR_TIME_S = 1.2;

/** Readings that stay the same whichever error is moved, with gaps filled from the build where the sheet has it. */
export interface PartReadings {
  readonly series: PartSeries;
  readonly day: Day;
  /** Best-guess exhaust pressure on the grid [Pa]. */
  readonly exhaustPressurePa: Float64Array;
  readonly exhaustPressureLogged: boolean;
  /** Manifold pressure where it was logged below its ceiling [Pa], NaN elsewhere. */
  readonly manifoldPressurePa: Float64Array;
  readonly lambda: Float64Array;
  readonly lambdaLogged: boolean;
  /** What the build asks for. */
  readonly lambdaWanted: Float64Array;
  /** Share of the firings that misfire, 0 where none are counted. */
  readonly misfireShare: Float64Array;
}

/** Gas the engine would take with all cylinders filled as the build says, for the exhaust pressure alone [kg/s]. */
const roughAirFlow = (car: Car, series: PartSeries, day: Day) => {
  const filling = curveReader(car.curves.volumetricEfficiency);
  return (i: number): number => {
    const metered = series.airFlowKgPerS?.[i] ?? Number.NaN;
    const pressure = series.manifoldPressurePa?.[i] ?? Number.NaN;
    if (Number.isNaN(pressure)) return metered;
    const rpm = series.engineSpeedRpm[i]!;
    const temperature = series.chargeTemperatureK?.[i] ?? day.ambientTemperatureK + 25;
    return (filling(rpm) * car.engine.displacementM3 * pressure * rpm) / (day.gasConstantJPerKgK * temperature * 120);
  };
};

export const partReadings = (car: Car, series: PartSeries, day: Day): PartReadings => {
  const nan = () => new Float64Array(series.timesS.length).fill(Number.NaN);
  const wantedLambda = curveReader(car.curves.lambdaTarget);
  const lambdaLogged = series.lambda?.some(Number.isFinite) ?? false;
  const lambdaWanted = series.engineSpeedRpm.map(wantedLambda);
  const lambda = lambdaLogged ? series.lambda! : lambdaWanted;
  const manifoldPressurePa = series.manifoldPressurePa ?? nan();
  const exhaustPressureLogged = series.exhaustPressurePa?.some(Number.isFinite) ?? false;
  const air = roughAirFlow(car, series, day);
  const exhaustPressurePa = exhaustPressureLogged
    ? series.exhaustPressurePa!
    : manifoldPressurePa.map((pressure, i) => {
        const airFlowKgPerS = air(i);
        if (!Number.isFinite(airFlowKgPerS)) return Number.NaN;
        return exhaustPressureByShaftPa(car, {
          airFlowKgPerS,
          fuelFlowKgPerS: airFlowKgPerS / (lambda[i]! * car.fuel.stoichiometricAirFuelRatio),
          barometricPressurePa: day.barometricPressurePa,
          ambientTemperatureK: day.ambientTemperatureK,
          manifoldPressurePa: Number.isFinite(pressure) ? pressure : 0.98 * car.sensors.manifoldPressureCeilingPa,
          compressorOutletTemperatureK: series.compressorOutletTemperatureK?.[i] ?? Number.NaN,
          exhaustTemperatureK: series.exhaustTemperatureK?.[i] ?? Number.NaN,
        });
      });
  const misfireShare = series.engineSpeedRpm.map((rpm, i) => {
    const rate = series.misfireRateHz?.[i] ?? 0;
    return rate > 0 ? Math.min(0.9, rate / ((rpm / 120) * car.facts.cylinders)) : 0;
  });
  return {
    series,
    day,
    exhaustPressurePa,
    exhaustPressureLogged,
    manifoldPressurePa,
    lambda,
    lambdaLogged,
    lambdaWanted,
    misfireShare,
  };
};

/** Misfires above this share are felt by the wideband [-]. */
const LEAST_MISFIRE = 0.005;

/** Readings at one grid point after the errors are taken out; `manifoldPressurePa` may be NaN. */
export const readingAt = (readings: PartReadings, errors: LogErrors, i: number) => {
  const { series, day } = readings;
  // Air that did not burn makes a wideband read lean: where cylinders misfire the mixture asked for stands in.
  const misfireShare = readings.misfireShare[i]!;
  const charge = series.chargeTemperatureK?.[i] ?? Number.NaN;
  const rise = series.chargeTemperatureSlopeKPerS?.[i] ?? Number.NaN;
  const lagged = (CHARGE_SENSOR_TIME_S + errors.chargeTemperatureLagS) * (Number.isFinite(rise) ? rise : 0);
  const exhaust = readings.exhaustPressurePa[i]!;
  return {
    engineSpeedRpm: series.engineSpeedRpm[i]!,
    manifoldPressurePa:
      readings.manifoldPressurePa[i]! * (1 + errors.manifoldPressureGain) + errors.manifoldPressureOffsetPa,
    chargeTemperatureK: charge + lagged + errors.chargeTemperatureK,
    exhaustPressurePa: exhaust + (exhaust - day.barometricPressurePa) * errors.exhaustPressureGain,
    lambda: (misfireShare > LEAST_MISFIRE ? readings.lambdaWanted[i]! : readings.lambda[i]!) * (1 + errors.lambdaGain),
    misfireShare,
    sparkAdvanceDeg: series.sparkAdvanceDeg?.[i] ?? Number.NaN,
  };
};
