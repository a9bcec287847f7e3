/** How much of a difference in power logged readings account for: boost, charge temperature, mixture, timing. */
import type { Car } from '../../car/index.ts';
import {
  humidityRatioFromVapourPressure,
  moistAirGasConstantJPerKgK,
  residualFillingFactor,
  speedDensityAirFlowKgPerS,
  waterSaturationPressurePa,
} from '../../physics/index.ts';
import { curveReader } from '../context.ts';
import { exhaustPressureByShaftPa } from '../power/exhaust-pressure.ts';
import { NO_ERRORS } from '../power/log-errors.ts';
import { torquePath } from '../power/torque-path.ts';
import { normalBand } from './power-difference.ts';
import { sdOf } from './reading-difference.ts';
import type { BasisAir, ComparedReading, PowerShare, ReadingName } from './types.ts';

/** Shares are worth this much of themselves: filling and efficiency laws for small changes (our judgement, no source). */
const LAW_SD = 0.1;

const CAUSES = [
  ['boost', 'manifold-pressure'],
  ['charge-temperature', 'charge-temperature'],
  ['lambda', 'lambda'],
  ['spark-advance', 'spark-advance'],
] as const satisfies readonly (readonly [PowerShare['cause'], ReadingName])[];

interface EngineReadings {
  readonly manifoldPressurePa: number;
  readonly exhaustPressurePa: number;
  readonly chargeTemperatureK: number;
  readonly lambda: number;
  readonly sparkAdvanceDeg: number;
}

interface Compared {
  readonly engineSpeedRpm: number;
  readonly readings: Readonly<Partial<Record<ReadingName, ComparedReading>>>;
  /** Power of the first pull as told [W]: shares are scaled to it. */
  readonly firstPowerW: number;
  readonly air: BasisAir;
}

/** Crank power by speed and density of a car for one set of readings [W]. */
const powerBy = (car: Car, engineSpeedRpm: number, air: BasisAir) => {
  const brakePowerW = torquePath(car, NO_ERRORS);
  const filling = curveReader(car.curves.volumetricEfficiency)(engineSpeedRpm);
  const saturation = waterSaturationPressurePa(air.ambientTemperatureK);
  const vapourPa = saturation.ok ? air.relativeHumidity * saturation.value : 0;
  const ratio = humidityRatioFromVapourPressure(vapourPa, air.barometricPressurePa);
  const humidityRatio = ratio.ok ? ratio.value : 0;
  return (readings: EngineReadings): number => {
    const { manifoldPressurePa, exhaustPressurePa } = readings;
    const residual = residualFillingFactor(car.engine.compressionRatio, exhaustPressurePa / manifoldPressurePa);
    const flow = speedDensityAirFlowKgPerS(
      filling * (1 - car.learned.residualEffect * (1 - residual)),
      car.engine.displacementM3,
      engineSpeedRpm,
      manifoldPressurePa,
      readings.chargeTemperatureK,
      moistAirGasConstantJPerKgK(humidityRatio),
    );
    return brakePowerW({ ...readings, engineSpeedRpm, dryAirKgPerS: flow / (1 + humidityRatio), misfireShare: 0 });
  };
};

/** Exhaust pressure that goes with a manifold pressure: as logged in both pulls, else by the balance of the shaft. */
const exhaustFor = (
  car: Car,
  { engineSpeedRpm, readings, air }: Compared,
  side: 'first' | 'second',
  lambda: number,
  temperatureK: number,
): number => {
  const logged = readings['exhaust-pressure'];
  if (logged) return logged[side];
  const manifoldPressurePa = readings['manifold-pressure']![side];
  const airFlowKgPerS = speedDensityAirFlowKgPerS(
    curveReader(car.curves.volumetricEfficiency)(engineSpeedRpm),
    car.engine.displacementM3,
    engineSpeedRpm,
    manifoldPressurePa,
    temperatureK,
  );
  return exhaustPressureByShaftPa(car, {
    airFlowKgPerS,
    fuelFlowKgPerS: airFlowKgPerS / (lambda * car.fuel.stoichiometricAirFuelRatio),
    barometricPressurePa: air.barometricPressurePa,
    ambientTemperatureK: air.ambientTemperatureK,
    manifoldPressurePa,
    compressorOutletTemperatureK: Number.NaN,
    exhaustTemperatureK: Number.NaN,
  });
};

const factorial = (n: number): number => (n <= 1 ? 1 : n * factorial(n - 1));

/**
 * Shares of the difference in power that the readings of both pulls account for, each the mean change of power by speed and
 * density when that reading goes from the first pull's to the second's, over every order of the changes (so that no order is
 * preferred), scaled to the power as told. Empty without manifold pressure in both pulls, or for diesels.
 * Source of the even split: Shapley, A value for n-person games (1953); powers: Heywood (1988) eq. 2.27 and 2.19.
 */
export const powerShares = (car: Car, compared: Compared): PowerShare[] => {
  const { readings, engineSpeedRpm, firstPowerW, air } = compared;
  if (!readings['manifold-pressure'] || car.facts.ignition !== 'spark') return [];
  const causes = CAUSES.filter(([, name]) => readings[name]);
  const lambdaWanted = curveReader(car.curves.lambdaTarget)(engineSpeedRpm);
  const stateOf = (side: 'first' | 'second'): EngineReadings => {
    const read = (name: ReadingName, otherwise: number) => readings[name]?.[side] ?? otherwise;
    const lambda = read('lambda', lambdaWanted);
    const chargeTemperatureK = read('charge-temperature', air.ambientTemperatureK + 25);
    return {
      manifoldPressurePa: readings['manifold-pressure']![side],
      exhaustPressurePa: exhaustFor(car, compared, side, lambda, chargeTemperatureK),
      chargeTemperatureK,
      lambda,
      sparkAdvanceDeg: read('spark-advance', Number.NaN),
    };
  };
  const [first, second] = [stateOf('first'), stateOf('second')];
  const power = powerBy(car, engineSpeedRpm, air);
  /** Readings with the causes of a set (a bit each) at the second pull's values. */
  const mixed = (set: number): EngineReadings => {
    const takes = (cause: PowerShare['cause']) => {
      const place = causes.findIndex(([name]) => name === cause);
      return place >= 0 && (set >> place) % 2 === 1;
    };
    return {
      manifoldPressurePa: takes('boost') ? second.manifoldPressurePa : first.manifoldPressurePa,
      exhaustPressurePa: takes('boost') ? second.exhaustPressurePa : first.exhaustPressurePa,
      chargeTemperatureK: takes('charge-temperature') ? second.chargeTemperatureK : first.chargeTemperatureK,
      lambda: takes('lambda') ? second.lambda : first.lambda,
      sparkAdvanceDeg: takes('spark-advance') ? second.sparkAdvanceDeg : first.sparkAdvanceDeg,
    };
  };
  const sets = Array.from({ length: 2 ** causes.length }, (_, set) => power(mixed(set)));
  const base = sets[0]!;
  if (!(base > 0) || sets.some((value) => !Number.isFinite(value))) return [];
  const scale = firstPowerW / base;
  const count = causes.length;
  const bits = (set: number): number => (set === 0 ? 0 : (set & 1) + bits(set >> 1));
  return causes.map(([cause, name], place): PowerShare => {
    let share = 0;
    for (let set = 0; set < sets.length; set++) {
      if ((set >> place) % 2 === 1) continue;
      const size = bits(set);
      const weight = (factorial(size) * factorial(count - size - 1)) / factorial(count);
      share += weight * (sets[set + (1 << place)]! - sets[set]!);
    }
    const { difference } = readings[name]!;
    const apart = difference.p50;
    // Power per unit of the reading: along the change itself, or by a small step where there is none.
    const step = apart === 0 ? 1e-3 * Math.abs(readings[name]!.first || 1) : apart;
    const stepped = { ...first, ...steppedReading(cause, first, step) };
    const slope = apart === 0 ? (power(stepped) - base) / step : share / apart;
    const sd = Math.hypot(slope * sdOf(difference), LAW_SD * share);
    return { cause, powerW: normalBand(share * scale, sd * scale) };
  });
};

const steppedReading = (
  cause: PowerShare['cause'],
  readings: EngineReadings,
  step: number,
): Partial<EngineReadings> => {
  switch (cause) {
    case 'boost':
      return { manifoldPressurePa: readings.manifoldPressurePa + step };
    case 'charge-temperature':
      return { chargeTemperatureK: readings.chargeTemperatureK + step };
    case 'lambda':
      return { lambda: readings.lambda + step };
    default:
      return { sparkAdvanceDeg: readings.sparkAdvanceDeg + step };
  }
};
