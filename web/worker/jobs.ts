/** Pure jobs that the browser's worker does, by name. Long ones go sample by sample, so that they can be watched and stopped. */
import { type Build, resolveBuild, withSample } from '../../src/car/index.ts';
import { combineComparison, type LiftComparison, type PairSample, pairShard } from '../../src/lift/index.ts';
import { type Band, bandOf, STANDARD_CONDITIONS, sampledCars } from '../../src/match/index.ts';
import { type Moved, shownOf } from '../pages/what-if-knobs.ts';
import { movedFor, sheetWithEthanol, solveWhatIf } from '../pages/what-if-solve.ts';

/** How a job is watched. */
export interface JobWatch {
  readonly progress: (done: number, of: number) => void;
  /** A turn of the worker's loop, so that a cancel is heard; false once nobody wants the answer. */
  readonly goOn: () => Promise<boolean>;
}

/** A job answers null only when it was stopped. */
export type Job<Request, Answer> = (request: Request, watch: JobWatch) => Promise<Answer | null>;

/** Same seed as everywhere: the same question has the same answer. */
const SEED = 1;
/** Samples between two turns of the loop. */
const STRIDE = 4;

export interface WhatIfBandRequest {
  readonly sheet: Build;
  readonly moved: Moved;
  readonly samples: number;
}
export interface WhatIfBand {
  readonly samples: number;
  readonly powerBeforeW: Band;
  readonly powerAfterW: Band;
  /** Of the same cars before and after: what is uncertain in both cancels. */
  readonly powerChangeW: Band;
}

const peakPowerW = (solved: ReturnType<typeof solveWhatIf>): number | null =>
  solved.result.points.reduce<number | null>(
    (best, { powerW }) => (best === null || powerW > best ? powerW : best),
    null,
  );

const whatIfBand: Job<WhatIfBandRequest, WhatIfBand> = async ({ sheet, moved, samples }, { progress, goOn }) => {
  const shown = shownOf(sheet);
  const resolved = resolveBuild(shown.build);
  const { inputs } = resolved;
  const drawn = sampledCars(resolved, samples, SEED);
  const { ethanol, ...others } = moved;
  // Another fuel is another sheet: its cars are sampled with the same numbers, input by input.
  const fuelled = ethanol === undefined ? null : resolveBuild(sheetWithEthanol(shown, ethanol));
  const places = fuelled?.inputs.map(({ path }) => inputs.findIndex((input) => input.path === path)) ?? [];
  const before: number[] = [];
  const after: number[] = [];
  for (let index = 0; index < samples; index++) {
    if (index % STRIDE === 0) {
      progress(index, samples);
      if (!(await goOn())) return null;
    }
    const car = drawn.car(index);
    const normal = (place: number) => (place < 0 ? 0 : drawn.normals[index * inputs.length + place]!);
    const changed = fuelled ? withSample(fuelled, places.map(normal)) : car;
    const one = peakPowerW(solveWhatIf({ ...shown, car }, {}));
    const other = peakPowerW(solveWhatIf({ ...shown, car: changed }, movedFor(changed, shown, others)));
    if (one !== null && other !== null) {
      before.push(one);
      after.push(other);
    }
  }
  progress(samples, samples);
  const [powerBeforeW, powerAfterW] = [bandOf(before), bandOf(after)];
  const powerChangeW = bandOf(after.map((value, i) => value - before[i]!));
  if (!powerBeforeW || !powerAfterW || !powerChangeW) throw new Error('No sample of this car has an answer.');
  return { samples: before.length, powerBeforeW, powerAfterW, powerChangeW };
};

export interface SheetEffectRequest {
  readonly before: Build;
  readonly after: Build;
  readonly samples: number;
}
export type SheetEffect = Pick<LiftComparison, 'samples' | 'powerW' | 'powerAtFirstLimitW' | 'first'>;

/** What changes of a sheet do to power and to what gives out first, before they are saved. */
const sheetEffect: Job<SheetEffectRequest, SheetEffect> = async ({ before, after, samples }, { progress, goOn }) => {
  const builds = { before, after, conditions: STANDARD_CONDITIONS };
  const pairs: PairSample[] = [];
  for (let from = 0; from < samples; from += STRIDE) {
    progress(from, samples);
    if (!(await goOn())) return null;
    pairs.push(...pairShard(builds, { samples, seed: SEED, from, to: Math.min(samples, from + STRIDE) }));
  }
  const { powerW, powerAtFirstLimitW, first } = combineComparison(builds, pairs);
  return { samples: pairs.length, powerW, powerAtFirstLimitW, first };
};

export const MODEL_JOBS = { whatIfBand, sheetEffect } as const;
export type ModelJobs = typeof MODEL_JOBS;
export type ModelJobName = keyof ModelJobs;
export type RequestOf<N extends ModelJobName> = Parameters<ModelJobs[N]>[0];
export type AnswerOf<N extends ModelJobName> = NonNullable<Awaited<ReturnType<ModelJobs[N]>>>;
