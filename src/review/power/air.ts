/** Crank power from the air that the engine takes: by speed and density, and by the airflow meter. */
import type { Car } from '../../car/index.ts';
import { residualFillingFactor, speedDensityAirFlowKgPerS } from '../../physics/index.ts';
import { curveReader } from '../context.ts';
import { type PartReadings, readingAt } from './engine-readings.ts';
import type { LogErrors } from './log-errors.ts';
import { burnAlike, burning, loseAlike, torquePath } from './torque-path.ts';

/** Air between meter and valves is near this on average [K]: part before, part after the charge cooler. */
const PIPE_TEMPERATURE_K = 340;

/**
 * Air taken by the valves [kg/s] on the grid: m = VE(N) x Vd p / (R T) N / 120, VE at equal exhaust and intake pressure
 * corrected for residual gas by the measured or estimated exhaust pressure. NaN where a reading is missing.
 * Source: Heywood (1988) eq. 2.27; Eriksson & Nielsen (2014) eq. 4.8.
 */
export const airBySpeedDensity = (readings: PartReadings, car: Car, errors: LogErrors): Float64Array => {
  const filling = curveReader(car.curves.volumetricEfficiency);
  const { residualEffect } = car.learned;
  return readings.series.timesS.map((_, i) => {
    const state = readingAt(readings, errors, i);
    const residual = residualFillingFactor(
      car.engine.compressionRatio,
      state.exhaustPressurePa / state.manifoldPressurePa,
    );
    return speedDensityAirFlowKgPerS(
      filling(state.engineSpeedRpm) * (1 - residualEffect * (1 - residual)),
      car.engine.displacementM3,
      state.engineSpeedRpm,
      state.manifoldPressurePa,
      state.chargeTemperatureK,
      readings.day.gasConstantJPerKgK,
    );
  });
};

/**
 * Air taken by the valves [kg/s] on the grid: the meter's flow less what fills pipes and plenum while pressure rises,
 * V dp/dt / (R T). NaN at the meter's ceiling or where it was not logged.
 * Source: mass balance; Heywood (1988) sect. 7.6.2.
 */
export const airByMeter = (readings: PartReadings, car: Car, errors: LogErrors): Float64Array => {
  const { series, day } = readings;
  const volumeM3 = car.intake.chargeVolumeM3 + car.intake.plenumVolumeM3;
  return series.timesS.map((_, i) => {
    const flow = (series.airFlowKgPerS?.[i] ?? Number.NaN) * (1 + errors.airFlowGain);
    const rise = series.manifoldPressureSlopePaPerS?.[i] ?? 0;
    return flow - (Number.isFinite(rise) ? (volumeM3 * rise) / (day.gasConstantJPerKgK * PIPE_TEMPERATURE_K) : 0);
  });
};

/** What burning gives and turning costs on the grid where manifold pressure is known: the same however the air is known. */
export interface Burned {
  readonly car: Car;
  readonly errors: LogErrors;
  /** Gross work over the heat that the air can burn [-]; NaN without manifold pressure. */
  readonly efficiency: Float64Array;
  readonly lossW: Float64Array;
}

const stateAt = (readings: PartReadings, errors: LogErrors, i: number) => {
  const state = readingAt(readings, errors, i);
  if (!Number.isFinite(state.exhaustPressurePa)) state.exhaustPressurePa = state.manifoldPressurePa;
  if (!Number.isFinite(state.chargeTemperatureK)) state.chargeTemperatureK = readings.day.ambientTemperatureK + 25;
  return state;
};

/** Takes over from `like`, of the same readings, what the two have in common. */
export const burnedOnGrid = (readings: PartReadings, car: Car, errors: LogErrors, like?: Burned): Burned => {
  const told = { car, errors };
  const { efficiency, lossW } = burning(car, errors);
  const over = (read: (state: ReturnType<typeof stateAt>) => number) =>
    readings.series.timesS.map((_, i) => {
      const state = stateAt(readings, errors, i);
      return Number.isFinite(state.manifoldPressurePa) ? read(state) : Number.NaN;
    });
  return {
    car,
    errors,
    efficiency: like && burnAlike(like, told) ? like.efficiency : over(efficiency),
    lossW:
      like && loseAlike(like, told)
        ? like.lossW
        : over((state) => lossW(state.engineSpeedRpm, state.manifoldPressurePa, state.exhaustPressurePa)),
  };
};

/** Crank power [W] on the grid from an air flow [kg/s, as drawn]; NaN where something is missing. */
export const powerFromAirW = (
  readings: PartReadings,
  airFlowKgPerS: Float64Array,
  { car, errors, efficiency, lossW }: Burned,
): Float64Array => {
  const brakePowerW = torquePath(car, errors);
  const { heatPerAirJPerKg, accessoryPowerW } = burning(car, errors);
  const filling = curveReader(car.curves.volumetricEfficiency);
  return airFlowKgPerS.map((flow, i) => {
    if (!(flow > 0)) return Number.NaN;
    const dryAirKgPerS = flow * readings.day.dryShare;
    if (!Number.isNaN(efficiency[i]!)) {
      return dryAirKgPerS * heatPerAirJPerKg * efficiency[i]! - lossW[i]! - accessoryPowerW;
    }
    const rpm = readings.series.engineSpeedRpm[i]!;
    const manifoldPressurePa = pressureFor(flow, rpm, filling(rpm), car, readings);
    const state = stateAt(readings, errors, i);
    return brakePowerW({
      ...state,
      manifoldPressurePa,
      exhaustPressurePa: Number.isFinite(state.exhaustPressurePa) ? state.exhaustPressurePa : manifoldPressurePa,
      dryAirKgPerS,
    });
  });
};

/** Manifold pressure that an air flow asks for, where the sensor is at its ceiling or missing [Pa]. */
const pressureFor = (
  flowKgPerS: number,
  rpm: number,
  volumetricEfficiency: number,
  car: Car,
  readings: PartReadings,
): number =>
  flowKgPerS /
  speedDensityAirFlowKgPerS(
    volumetricEfficiency,
    car.engine.displacementM3,
    rpm,
    1,
    readings.day.ambientTemperatureK + 25,
    readings.day.gasConstantJPerKgK,
  );
