/** The review room: findings and the three powers of every pull. */
import type { ResolvedBuild } from '../car/index.ts';
import type { Log } from '../logs/index.ts';
import { findAll } from './findings/index.ts';
import { pullPowers } from './power/index.ts';
import { pullFacts } from './pull-facts.ts';
import type { Review, ReviewedPull, ReviewProblem } from './types.ts';

export { conditionsOf, dayOf } from './power/index.ts';
export type {
  Band,
  CurvePoint,
  Finding,
  FindingId,
  NotChecked,
  PowerEstimates,
  Review,
  ReviewedPull,
  ReviewProblem,
  Severity,
} from './types.ts';
export { FINDING_IDS } from './types.ts';

/**
 * Reviews a log: pulls with their peaks and powers, findings, what could not be checked, and what could not be computed.
 * `resolved` null: without a build sheet, so with fewer findings and no power but by class of engine.
 */
export const reviewLog = (log: Log, resolved: ResolvedBuild | null): Review => {
  const powers = pullPowers(log, log.pulls, resolved);
  const problems: ReviewProblem[] = [];
  const pulls = log.pulls.map((pull, index): ReviewedPull => {
    const { problems: reasons = [], ...power } = powers[index] ?? { powerW: { agree: true }, curve: [] };
    for (const reason of new Set(reasons)) problems.push({ about: `pull ${index + 1}`, reason });
    return { ...pull, ...pullFacts(log, pull), ...power };
  });
  return { pulls, ...findAll(log, resolved, pulls), problems };
};
