/** Power without a build sheet: only an airflow meter's reading says something, by class of engine and in a wide band. */
import type { ChannelName, Log, Pull } from '../../logs/index.ts';
import type { CurvePoint } from '../types.ts';
import { bandOf } from './combine.ts';
import type { Day } from './day.ts';
import { partSeries } from './part-series.ts';
import { BIN_RPM } from './pull-estimates.ts';
import type { PullPower } from './pull-powers.ts';

/** Heat that dry air can burn of petrol [J/kg]. Source: Heywood (1988) table D.4. */
const HEAT_PER_AIR_J_PER_KG = 2.92e6;
/**
 * Work over the heat that the air could burn, less gas exchange, usual late timing and accessories, of a turbocharged petrol
 * engine at full load [-]: what leaves 0.335 at the crank at 5000 rpm and 200 kPa. That lies between two that pull apart:
 * 0.35 of the sheet's usual engine (gross efficiency 0.40 at best timing, 4 % of it lost to late timing, friction as below,
 * exhaust some 30 kPa over boost pressure), and 0.32 of published fuel consumption at full load (250 g/kWh near lambda 1 at
 * the best torque to 340 g/kWh near lambda 0.8 at the most power; the 1.6 L engine of the US EPA benchmarking package has
 * 0.286 at 5635 rpm, its most enriched; the rest common practice, no source).
 */
const WORK_SHARE = 0.357;
/** Rubbing friction [Pa] over thousands of rpm, as the sheet's usual engine has it. Source: shape of Barnes-Moss, Heywood (1988) eq. 13.6. */
const frictionPa = (thousands: number): number => 48e3 + 8.7e3 * thousands + 1.47e3 * thousands * thousands;
/** Air in the cylinders per volume swept [kg/m3], where pressure or temperature was not logged: 200 kPa, 315 K. */
const FILLING = 0.9;
const USUAL_PRESSURE_PA = 200e3;
const USUAL_TEMPERATURE_K = 315;
/** One standard deviation, relative: engines of the class 7.5 %, meter 3 %. */
const SPREAD = 0.08;
/** A mixture like this at full load is a petrol engine's; a diesel's rule is another. */
const PETROL_LAMBDA = [0.6, 1.1] as const;

/**
 * Net brake work per dry air [J/kg]: heat times work share, less friction over the air in the swept volume.
 *
 * @param engineSpeedRpm [rpm]
 * @param pressurePa in the manifold, absolute [Pa]; NaN: usual
 * @param temperatureK of the charge [K]; NaN: usual
 * @param gasConstantJPerKgK of the air [J/(kg K)]
 * Source: Heywood (1988) eq. 2.15, 2.27.
 */
export const brakeWorkJPerKgAir = (
  engineSpeedRpm: number,
  pressurePa: number,
  temperatureK: number,
  gasConstantJPerKgK: number,
): number => {
  const pressure = Number.isFinite(pressurePa) ? pressurePa : USUAL_PRESSURE_PA;
  const temperature = Number.isFinite(temperatureK) ? temperatureK : USUAL_TEMPERATURE_K;
  const airPerVolume = (FILLING * pressure) / (gasConstantJPerKgK * temperature);
  return HEAT_PER_AIR_J_PER_KG * WORK_SHARE - frictionPa(engineSpeedRpm / 1000) / airPerVolume;
};

const nothing = (problem: string): PullPower => ({ powerW: { agree: true }, curve: [], problems: [problem] });

/** Power of one pull from the airflow meter alone. */
export const powerFromMeterAlone = (log: Log, pull: Pull, day: Day, doubted: ReadonlySet<ChannelName>): PullPower => {
  if (log.ignition === 'compression') {
    return nothing('No power without a build sheet: the rule from air flow alone is of petrol. Next: give the build.');
  }
  const curve: CurvePoint[] = [];
  const lambdas: number[] = [];
  pull.parts.forEach((part) => {
    const series = partSeries({ log, car: null, doubted }, part);
    if (typeof series === 'string' || !series.airFlowKgPerS || !series.lambda) return;
    const bins = new Map<number, { sum: number; count: number; speed: number }>();
    series.timesS.forEach((_, i) => {
      const [flow, rpm, lambda] = [series.airFlowKgPerS![i]!, series.engineSpeedRpm[i]!, series.lambda![i]!];
      const pressurePa = series.manifoldPressurePa?.[i] ?? Number.NaN;
      const temperatureK = series.chargeTemperatureK?.[i] ?? Number.NaN;
      if (!Number.isFinite(flow + rpm + lambda)) return;
      lambdas.push(lambda);
      const centre = Math.round(rpm / BIN_RPM) * BIN_RPM;
      const bin = bins.get(centre) ?? { sum: 0, count: 0, speed: 0 };
      const work = brakeWorkJPerKgAir(rpm, pressurePa, temperatureK, day.gasConstantJPerKgK);
      bins.set(centre, {
        sum: bin.sum + flow * day.dryShare * work,
        count: bin.count + 1,
        speed: bin.speed + rpm,
      });
    });
    for (const [engineSpeedRpm, { sum, count, speed }] of [...bins].sort((a, b) => a[0] - b[0])) {
      if (count * series.stepS < 0.1 || !(sum > 0)) continue;
      const power = { logPower: Math.log(sum / count), sd: SPREAD };
      const powerW = bandOf(power);
      const torqueNm = bandOf(power, 30 / (Math.PI * (speed / count)));
      curve.push({ engineSpeedRpm, gear: part.gear, torqueNm, powerW, fromAirW: powerW });
    }
  });
  const richest = lambdas.length > 0 ? lambdas.reduce((sum, value) => sum + value, 0) / lambdas.length : Number.NaN;
  if (curve.length === 0 || !(richest > PETROL_LAMBDA[0] && richest < PETROL_LAMBDA[1])) {
    return nothing(
      'No power without a build sheet: it takes mass and gearing, displacement and filling, or injectors. Next: give the build.',
    );
  }
  const peak = curve.reduce((best, point) => (point.powerW.p50 > best.powerW.p50 ? point : best));
  return {
    powerW: { fromAir: peak.powerW, combined: peak.powerW, agree: true },
    powerEngineSpeedRpm: peak.engineSpeedRpm,
    curve,
    problems: ['Power from the airflow meter alone, by class of engine: give the build for a narrower band.'],
  };
};
