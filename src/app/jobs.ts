/** The heavy work, by name: what a shell may have done in its own thread or in workers. Requests and answers are plain data. */
import type { Compute } from './compute.ts';
import { type HeadroomAnswer, headroomShare, headroomTogether, USUAL_HEADROOM_SAMPLES } from './headroom.ts';
import { type MatchAnswer, matchShare, matchTogether, USUAL_MATCH_SAMPLES } from './match.ts';
import type { ModelRequest } from './model-request.ts';
import { readRun } from './read-run.ts';
import { reviewedLog } from './review.ts';
import { sharesOf } from './shares.ts';

export const JOBS = {
  matchShare,
  matchTogether,
  headroomShare,
  headroomTogether,
  read: readRun,
  review: reviewedLog,
} as const;

export type AppCompute = Compute<typeof JOBS>;

/** What a build does at each engine speed, with bands. Seeded: the same request gives the same answer. */
export const matchBuild = async (
  compute: AppCompute,
  request: ModelRequest,
  samples: number = USUAL_MATCH_SAMPLES,
): Promise<MatchAnswer> => {
  const shares = await Promise.all(sharesOf(samples).map((share) => compute.run('matchShare', { ...request, share })));
  return compute.run('matchTogether', { ...request, solved: shares.flat() });
};

/** Which part of a build gives out first, with bands. Seeded: the same request gives the same answer. */
export const headroomOf = async (
  compute: AppCompute,
  request: ModelRequest,
  samples: number = USUAL_HEADROOM_SAMPLES,
): Promise<HeadroomAnswer> => {
  const shares = await Promise.all(
    sharesOf(samples).map((share) => compute.run('headroomShare', { ...request, share })),
  );
  return compute.run('headroomTogether', { ...request, solved: shares.flat() });
};
