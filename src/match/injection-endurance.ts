/** How long the tank of mix lasts: in pulls and in minutes of full boost, with bands. */
import type { Car, ResolvedBuild } from '../car/index.ts';
import { MOVING_MASS } from './balance.ts';
import { injectionStateAt } from './injection-state.ts';
import { prepare, roadSpeedMPerS } from './prepare.ts';
import { sampledCars } from './sampling.ts';
import { matchCar } from './steady.ts';
import type { Band, Conditions, MatchPoint } from './types.ts';
import { bandOf } from './uncertain.ts';

const GRAVITY = 9.80665;

/** One car's pull in the gear that the match looks at. */
export interface PullUse {
  /** Mix used from the lowest to the highest speed of the points [m3]. */
  readonly volumeM3: number;
  readonly timeS: number;
  /** Largest flow [m3/s] and the engine speed of it. */
  readonly mostM3PerS: number;
  readonly mostAtRpm: number;
}

/** Mix used in one pull through the points: time from kinetic energy, drag and rolling in the middle gear. */
export const pullUse = (car: Car, conditions: Conditions, points: readonly MatchPoint[]): PullUse => {
  const prepared = prepare(car, conditions);
  const density = conditions.ambientPressurePa / (287.05 * conditions.ambientTemperatureK);
  let volumeM3 = 0;
  let timeS = 0;
  let mostM3PerS = 0;
  let mostAtRpm = 0;
  points.forEach((point, i) => {
    const flow = point.injectionFlowKgPerS / prepared.mixDensity;
    if (flow > mostM3PerS) {
      mostM3PerS = flow;
      mostAtRpm = point.engineSpeedRpm;
    }
    const next = points[i + 1];
    if (!next) return;
    const v = roadSpeedMPerS(car, point.engineSpeedRpm, prepared.corePullGear.ratio);
    const v2 = roadSpeedMPerS(car, next.engineSpeedRpm, prepared.corePullGear.ratio);
    const middle = 0.5 * (v + v2);
    const drive = (0.5 * (point.powerW + next.powerW) * car.driveline.efficiency) / middle;
    const against =
      0.5 * density * car.body.dragAreaM2 * middle * middle + car.body.rollingResistance * car.body.massKg * GRAVITY;
    const force = Math.max(0.05 * drive, drive - against);
    const dt = (MOVING_MASS * car.body.massKg * (v2 - v)) / force;
    timeS += dt;
    volumeM3 += 0.5 * (flow + next.injectionFlowKgPerS / prepared.mixDensity) * dt;
  });
  return { volumeM3, timeS, mostM3PerS, mostAtRpm };
};

/** Bands of the injection over engine speed. */
export interface BandedInjectionPoint {
  readonly engineSpeedRpm: number;
  readonly injectionFlowKgPerS: Band;
  readonly injectionVolumeFlowM3PerS: Band;
  readonly shareOfFuelByMass: Band;
  readonly shareOfFuelByVolume: Band;
  readonly shareOfMixture: Band;
  readonly coolingShare: Band;
  readonly chargeBeforeK: Band;
  readonly chargeAfterK: Band;
}

/** The injection of a build with bands. */
export interface BandedInjection {
  readonly points: readonly BandedInjectionPoint[];
  /** Empty tank after so many pulls through the rev range in the middle gear, and after so many seconds at the most flow. */
  readonly pulls: Band | null;
  readonly fullBoostS: Band | null;
  readonly pullVolumeM3: Band | null;
  readonly pullTimeS: Band | null;
  readonly samples: number;
}

const KEYS = [
  'injectionFlowKgPerS',
  'injectionVolumeFlowM3PerS',
  'shareOfFuelByMass',
  'shareOfFuelByVolume',
  'shareOfMixture',
  'coolingShare',
  'chargeBeforeK',
  'chargeAfterK',
] as const;

export interface InjectionOptions {
  readonly engineSpeedsRpm: readonly number[];
  readonly samples: number;
  readonly seed: number;
}

/** Samples of the build matched and looked at for their mix. Same request, same answer. */
export const injectionWithBands = (
  resolved: ResolvedBuild,
  conditions: Conditions,
  { engineSpeedsRpm, samples, seed }: InjectionOptions,
): BandedInjection => {
  const drawn = sampledCars(resolved, samples, seed);
  const atSpeed = new Map<number, Record<(typeof KEYS)[number], number[]>>();
  const pulls: number[] = [];
  const full: number[] = [];
  const volumes: number[] = [];
  const times: number[] = [];
  for (let index = 0; index < samples; index++) {
    const car = drawn.car(index);
    const { points } = matchCar(car, conditions, { engineSpeedsRpm });
    for (const point of points) {
      const state = injectionStateAt(car, conditions, point);
      if (!state) continue;
      let lists = atSpeed.get(point.engineSpeedRpm);
      if (!lists) {
        lists = Object.fromEntries(KEYS.map((key) => [key, [] as number[]])) as Record<(typeof KEYS)[number], number[]>;
        atSpeed.set(point.engineSpeedRpm, lists);
      }
      for (const key of KEYS) lists[key].push(state[key]);
    }
    const use = pullUse(car, conditions, points);
    if (use.volumeM3 > 0 && use.mostM3PerS > 0) {
      volumes.push(use.volumeM3);
      times.push(use.timeS);
      pulls.push(car.injection.tankVolumeM3 / use.volumeM3);
      full.push(car.injection.tankVolumeM3 / use.mostM3PerS);
    }
  }
  const points = [...atSpeed]
    // A speed that only few of the samples reach with boost enough says little.
    .filter(([, lists]) => lists.injectionFlowKgPerS.length >= samples / 2)
    .sort(([a], [b]) => a - b)
    .flatMap(([engineSpeedRpm, lists]): BandedInjectionPoint[] => {
      const banded: Record<string, Band> = {};
      for (const key of KEYS) {
        const band = bandOf(lists[key]);
        if (!band) return [];
        banded[key] = band;
      }
      return [{ engineSpeedRpm, ...banded } as unknown as BandedInjectionPoint];
    });
  return {
    points,
    pulls: bandOf(pulls),
    fullBoostS: bandOf(full),
    pullVolumeM3: bandOf(volumes),
    pullTimeS: bandOf(times),
    samples,
  };
};
