/** Part load over a grid, with bands: the same seeded samples as the match, and of what no sheet says of an engine. */
import { LOAD_INPUT_NAMES, loadNumbersOf, type ResolvedBuild, withSample } from '../car/index.ts';
import {
  type LoadAnswer,
  type LoadOptions,
  type LoadPoint,
  type LoadProblem,
  type LoadSpeed,
  loadSpeed,
} from './part-load.ts';
import { normalSamples } from './sampling.ts';
import type { Band, Conditions } from './types.ts';
import { bandOf } from './uncertain.ts';

export interface LoadMapOptions extends LoadOptions {
  /** Samples behind the bands; 128 when absent. */
  readonly samples?: number | undefined;
  /** Same seed, same bands. 1 when absent. */
  readonly seed?: number | undefined;
}

/** Where the map is asked for: every torque at every engine speed, or given pairs. */
export type LoadGrid =
  | { readonly engineSpeedsRpm: readonly number[]; readonly torquesNm: readonly number[] }
  | { readonly points: readonly { readonly engineSpeedRpm: number; readonly torqueNm: number }[] };

/** A point with bands: each number a band except speed, torque and power, which were asked for. */
export type BandedLoadPoint = {
  readonly [K in Exclude<LoadAnswer, 'engineSpeedRpm' | 'torqueNm' | 'powerW'>]: Band;
} & Pick<LoadPoint, 'engineSpeedRpm' | 'torqueNm' | 'powerW' | 'mixture' | 'timing'> & {
    /** Share of the sampled engines that reach this torque. */
    readonly reachedBy: number;
  };

export interface BandedLoadMap {
  readonly conditions: Conditions;
  readonly points: readonly BandedLoadPoint[];
  /** Full load at each engine speed: manifold pressure and torque. */
  readonly fullLoad: readonly {
    readonly engineSpeedRpm: number;
    readonly manifoldPressurePa: Band;
    readonly torqueNm: Band;
  }[];
  readonly problems: readonly LoadProblem[];
  readonly samples: number;
}

const PLAIN: ReadonlySet<string> = new Set(['engineSpeedRpm', 'torqueNm', 'powerW']);

const pairsOf = (grid: LoadGrid) =>
  'points' in grid
    ? grid.points
    : grid.engineSpeedsRpm.flatMap((engineSpeedRpm) =>
        grid.torquesNm.map((torqueNm) => ({ engineSpeedRpm, torqueNm })),
      );

/**
 * Part load at every point of a grid with the 10th, 50th and 90th percentile of every answer.
 * Mixture, timing and problems are those of the best estimate. Same build, air, grid and seed: same answer.
 */
export const loadMapWithBands = (
  resolved: ResolvedBuild,
  conditions: Conditions,
  grid: LoadGrid,
  options: LoadMapOptions = {},
): BandedLoadMap => {
  const { samples = 128, seed = 1, ...rest } = options;
  const pairs = pairsOf(grid);
  const speeds = [...new Set(pairs.map(({ engineSpeedRpm }) => engineSpeedRpm))];
  const best = new Map(
    speeds.map((rpm) => [rpm, loadSpeed(resolved.car, loadNumbersOf(resolved), conditions, rpm, rest)] as const),
  );
  const carInputs = resolved.inputs.length;
  const inputs = carInputs + LOAD_INPUT_NAMES.length;
  const normals = normalSamples(samples, inputs, seed);
  const drawn: Map<number, LoadSpeed>[] = [];
  for (let row = 0; row < samples; row++) {
    const z = normals.subarray(row * inputs, (row + 1) * inputs);
    const car = withSample(resolved, z);
    const numbers = loadNumbersOf(resolved, z.subarray(carInputs));
    drawn.push(new Map(speeds.map((rpm) => [rpm, loadSpeed(car, numbers, conditions, rpm, rest)] as const)));
  }
  const points: BandedLoadPoint[] = [];
  const problems: LoadProblem[] = [];
  for (const { engineSpeedRpm, torqueNm } of pairs) {
    const own = best.get(engineSpeedRpm)?.at(torqueNm);
    if (!own?.ok) {
      if (own) problems.push(own.problem);
      continue;
    }
    const { point } = own;
    const reached = drawn.flatMap((sample) => {
      const found = sample.get(engineSpeedRpm)?.at(torqueNm);
      return found?.ok ? [found.point] : [];
    });
    const used = reached.length > 0 ? reached : [point];
    const banded: Record<string, unknown> = {};
    for (const [key, value] of Object.entries(point)) {
      banded[key] =
        typeof value !== 'number' || PLAIN.has(key)
          ? value
          : (bandOf(used.map((sample) => sample[key as LoadAnswer])) ?? { p10: value, p50: value, p90: value });
    }
    points.push({ ...banded, reachedBy: reached.length / Math.max(1, samples) } as unknown as BandedLoadPoint);
  }
  const fullLoad = speeds.flatMap((engineSpeedRpm) => {
    const all = drawn.flatMap((sample) => sample.get(engineSpeedRpm)?.full ?? []);
    const pressure = bandOf(all.map(({ manifoldPressurePa }) => manifoldPressurePa));
    const torque = bandOf(all.map(({ torqueNm }) => torqueNm));
    if (!pressure || !torque || torque.p50 <= 0) return [];
    return [{ engineSpeedRpm, manifoldPressurePa: pressure, torqueNm: torque }];
  });
  return { conditions, points, fullLoad, problems, samples };
};
