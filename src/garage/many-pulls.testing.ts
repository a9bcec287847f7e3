/** For tests and benches: a garage with a car of many invented pulls, repeatable. */
import type { Build } from '../car/index.ts';
import type { Garage } from './garage.ts';
import type { PullRecord } from './records.ts';

const CHANNELS = [
  'engine-speed',
  'vehicle-speed',
  'throttle',
  'pedal',
  'manifold-pressure',
  'boost',
  'barometric-pressure',
  'ambient-temperature',
  'intake-temperature',
  'charge-temperature',
  'coolant-temperature',
  'oil-temperature',
  'oil-pressure',
  'fuel-pressure',
  'lambda',
  'lambda-target',
  'air-flow',
  'injector-pulse',
  'injector-duty',
  'spark-advance',
  'knock-retard',
  'battery-voltage',
  'exhaust-temperature',
  'wastegate-duty',
  'power',
  'torque',
] as const;
const FINDINGS = ['knock', 'lean-under-load', 'hot-charge', 'boost-leak'] as const;
const USUAL_PULLS_PER_RUN = 8;

/** Numbers from 0 to 1 by a multiplicative generator (Park & Miller, Comm. ACM 31 (1988) 1192): the same every time. */
const numbersFrom = (seed: number): (() => number) => {
  let state = seed;
  return () => {
    state = (state * 16807) % 2147483647;
    return state / 2147483647;
  };
};

/** Pull `i` of the invented ones; every tenth has no lambda, every seventh no power. */
const inventedPull = (next: () => number, i: number): PullRecord => {
  const startS = 10 + 30 * (i % USUAL_PULLS_PER_RUN);
  const powerW = 100e3 + 200e3 * next();
  return {
    startS,
    endS: startS + 2 + 8 * next(),
    gears: i % 3 === 0 ? [2, 3] : [3 + (i % 2)],
    minEngineSpeedRpm: 2000 + 1000 * next(),
    maxEngineSpeedRpm: 5500 + 1500 * next(),
    powerW: i % 7 === 0 ? null : { p10: 0.96 * powerW, p50: powerW, p90: 1.04 * powerW },
    powerEngineSpeedRpm: i % 7 === 0 ? null : 6000,
    findings: FINDINGS.filter(() => next() < 0.1).map((id) => ({ id, severity: 'fix' })),
    statistics: CHANNELS.filter(
      (channel) =>
        !(channel === 'lambda' && i % 10 === 0) && !(i % 7 === 0 && (channel === 'power' || channel === 'torque')),
    ).map((channel) => {
      const [a, b, share] = [1000 * next(), 1000 * next(), next()];
      const [least, most] = [Math.min(a, b), Math.max(a, b)];
      return {
        channel,
        least,
        most,
        mean: least + share * (most - least),
        atPeakPower: i % 7 === 0 ? null : least + (1 - share) * (most - least),
      };
    }),
  };
};

/** Adds a car with `count` invented pulls under two builds; returns them by run, as they were put in. */
export const addManyPulls = (
  garage: Garage,
  sheet: Build,
  count: number,
  name = 'Heron',
  pullsPerRun = USUAL_PULLS_PER_RUN,
) => {
  const car = garage.addCar({ name, note: 'invented' });
  const builds = ['As bought', 'Larger injectors'].map((label) =>
    garage.addBuild({ carId: car.id, label, planned: false, parentId: null, sheet }),
  );
  const next = numbersFrom(20_260_729);
  const kept: { readonly runId: string; readonly buildId: string; readonly pulls: readonly PullRecord[] }[] = [];
  for (let done = 0; done < count; done += pullsPerRun) {
    const size = Math.min(pullsPerRun, count - done);
    const buildId = builds[done < count / 2 ? 0 : 1]!.id;
    const run = garage.addRun({
      carId: car.id,
      buildId,
      fileName: `evening-${kept.length + 1}.csv`,
      bytes: new TextEncoder().encode(`${name} ${done}`),
      assumedRateHz: null,
      durationS: 300,
      headers: ['time'],
    });
    const pulls = Array.from({ length: size }, (_, i) => inventedPull(next, done + i));
    garage.pulls.keep(run, { version: 'invented', pulls });
    kept.push({ runId: run.id, buildId, pulls });
  }
  return { car, builds, kept };
};
