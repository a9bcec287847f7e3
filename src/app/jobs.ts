/** The heavy work, by name: what a shell may have done in its own thread or in a worker. Requests and answers are plain data. */
import { headroomAnswer } from './headroom.ts';
import { matchAnswer } from './match.ts';
import { reviewedLog } from './review.ts';

export const JOBS = {
  match: matchAnswer,
  headroom: headroomAnswer,
  review: reviewedLog,
} as const;
