/** Power without a build sheet: only an airflow meter's reading says something, by class of engine and in a wide band. */
import type { ChannelName, Log, Pull } from '../../logs/index.ts';
import type { CurvePoint } from '../types.ts';
import { bandOf } from './combine.ts';
import type { Day } from './day.ts';
import { partSeries } from './part-series.ts';
import { BIN_RPM } from './pull-estimates.ts';
import type { PullPower } from './pull-powers.ts';

/**
 * Net brake work per air of a turbocharged petrol engine at full load [J/kg]: heat per air 2.92 MJ/kg (Heywood (1988)
 * table D.4) times brake efficiency on that heat, 0.315: 0.286 in a test cell of a 1.6 L engine with much enrichment (US EPA
 * benchmarking package, full load at 5635 rpm), up to 0.35 in engines run nearer lambda 0.88 (common practice, no source).
 */
const BRAKE_WORK_J_PER_KG_AIR = 2.92e6 * 0.315;
/** One standard deviation, relative: engine class 9.5 %, meter 3 %. */
const SPREAD = 0.1;
/** A mixture like this at full load is a petrol engine's; a diesel's rule is another. */
const PETROL_LAMBDA = [0.6, 1.1] as const;

const nothing = (problem: string): PullPower => ({ powerW: { agree: true }, curve: [], problems: [problem] });

/** Power of one pull from the airflow meter alone. */
export const powerFromMeterAlone = (log: Log, pull: Pull, day: Day, doubted: ReadonlySet<ChannelName>): PullPower => {
  const curve: CurvePoint[] = [];
  const lambdas: number[] = [];
  pull.parts.forEach((part) => {
    const series = partSeries({ log, car: null, doubted }, part);
    if (typeof series === 'string' || !series.airFlowKgPerS || !series.lambda) return;
    const bins = new Map<number, { sum: number; count: number; speed: number }>();
    series.timesS.forEach((_, i) => {
      const [flow, rpm, lambda] = [series.airFlowKgPerS![i]!, series.engineSpeedRpm[i]!, series.lambda![i]!];
      if (!Number.isFinite(flow + rpm + lambda)) return;
      lambdas.push(lambda);
      const centre = Math.round(rpm / BIN_RPM) * BIN_RPM;
      const bin = bins.get(centre) ?? { sum: 0, count: 0, speed: 0 };
      bins.set(centre, { sum: bin.sum + flow * day.dryShare, count: bin.count + 1, speed: bin.speed + rpm });
    });
    for (const [engineSpeedRpm, { sum, count, speed }] of [...bins].sort((a, b) => a[0] - b[0])) {
      if (count * series.stepS < 0.1) continue;
      const power = { logPower: Math.log((sum / count) * BRAKE_WORK_J_PER_KG_AIR), sd: SPREAD };
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
