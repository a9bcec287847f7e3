/** The heavy work, by name: what a shell may have done in its own thread or in workers. Requests and answers are plain data. */
import { compareRuns } from './compare.ts';
import type { Compute } from './compute.ts';
import { type CylinderAnswer, type CylinderRequest, cylinderOf } from './cylinder.ts';
import { fuelOf } from './fuel.ts';
import { type HeadroomAnswer, headroomShare, headroomTogether, USUAL_HEADROOM_SAMPLES } from './headroom.ts';
import {
  type CompareRequest,
  liftLedgers,
  liftPairs,
  liftTogether,
  runSearch,
  type SearchRequest,
  type SearchWatch,
  USUAL_LIFT_SAMPLES,
} from './lift.ts';
import type { LiftComparisonView, LiftSearchView } from './lift-api.ts';
import { type MatchAnswer, matchShare, matchTogether, USUAL_MATCH_SAMPLES } from './match.ts';
import { type MeasureView, spoolMeasureView, USUAL_SPOOL_MEASURE_SAMPLES } from './measure.ts';
import type { ModelRequest } from './model-request.ts';
import { readPulls } from './pulls.ts';
import { readRun } from './read-run.ts';
import { reviewedLog } from './review.ts';
import { SEED, type Share, sharesOf } from './shares.ts';
import {
  type SpoolAnswer,
  type SpoolRequest,
  spoolBest,
  spoolShare,
  spoolTogether,
  USUAL_SPOOL_SAMPLES,
} from './spool.ts';
import { inPieces, type Watch } from './watch.ts';

export const JOBS = {
  matchShare,
  matchTogether,
  headroomShare,
  headroomTogether,
  fuel: fuelOf,
  liftPairs,
  liftTogether,
  liftLedgers,
  cylinder: cylinderOf,
  read: readRun,
  review: reviewedLog,
  readPulls,
  compare: compareRuns,
  spoolBest,
  spoolShare,
  spoolTogether,
} as const;

export type AppCompute = Compute<typeof JOBS>;

/** What a build does at each engine speed, with bands. Seeded: the same request gives the same answer. */
export const matchBuild = async (
  compute: AppCompute,
  request: ModelRequest,
  samples: number = USUAL_MATCH_SAMPLES,
  watch: Watch = {},
): Promise<MatchAnswer> => {
  const solve = (share: Share) => compute.run('matchShare', { ...request, share });
  const solved = await inPieces(sharesOf(samples), solve, watch);
  return compute.run('matchTogether', { ...request, solved });
};

/** Which part of a build gives out first, with bands. Seeded: the same request gives the same answer. */
export const headroomOf = async (
  compute: AppCompute,
  request: ModelRequest,
  samples: number = USUAL_HEADROOM_SAMPLES,
  watch: Watch = {},
): Promise<HeadroomAnswer> => {
  const solve = (share: Share) => compute.run('headroomShare', { ...request, share });
  const solved = await inPieces(sharesOf(samples), solve, watch);
  return compute.run('headroomTogether', { ...request, solved });
};

/** What to measure to know the spool time better: cars run in time from a cruise in a middle gear. */
export const measureSpool = async (
  compute: AppCompute,
  request: ModelRequest,
  samples: number = USUAL_SPOOL_MEASURE_SAMPLES,
  watch: Watch = {},
): Promise<MeasureView> => {
  const asked = { ...request, asked: {} };
  const { endS } = await compute.run('spoolBest', asked);
  const solve = (share: Share) => compute.run('spoolShare', { ...asked, endS, share });
  return spoolMeasureView(request, await inPieces(sharesOf(samples), solve, watch));
};

/** The cylinder of a build at one engine speed. Seeded like the others. */
export const cylinderAt = (compute: AppCompute, request: CylinderRequest): Promise<CylinderAnswer> =>
  compute.run('cylinder', request);

/** Spool, lift and heat soak of a build, with bands. Seeded like the others. */
export const spoolOf = async (
  compute: AppCompute,
  request: SpoolRequest,
  samples: number = USUAL_SPOOL_SAMPLES,
  watch: Watch = {},
): Promise<SpoolAnswer> => {
  const best = await compute.run('spoolBest', request);
  const solve = (share: Share) => compute.run('spoolShare', { ...request, endS: best.endS, share });
  const solved = await inPieces(sharesOf(samples), solve, watch);
  return compute.run('spoolTogether', { ...request, best, solved });
};

/** Two builds of a car compared part by part, with common random numbers. Seeded like the others. */
export const compareLifts = async (
  compute: AppCompute,
  request: CompareRequest,
  samples: number = USUAL_LIFT_SAMPLES,
): Promise<LiftComparisonView> => {
  const shares = await Promise.all(
    sharesOf(samples).map((share) => compute.run('liftPairs', { ...request, share: { ...share, seed: SEED } })),
  );
  return compute.run('liftTogether', { ...request, solved: shares.flat() });
};

/** The cheapest set of parts that reaches a power, and the front of price against power. Seeded like the others. */
export const searchLifts = (
  compute: AppCompute,
  request: SearchRequest,
  watch: SearchWatch = {},
): Promise<LiftSearchView> => runSearch(request, (work) => compute.run('liftLedgers', work), watch);
