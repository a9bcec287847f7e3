/** The review room: findings and the three powers of every pull. */
import type { ResolvedBuild } from '../car/index.ts';
import type { Log } from '../logs/index.ts';
import { findAll } from './findings/index.ts';
import { pullPowers } from './power/index.ts';
import { pullFacts } from './pull-facts.ts';
import type { FindingId, Review, ReviewedPull, ReviewProblem } from './types.ts';

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

/** Findings that prove a sensor wrong; the first channel of such a finding is the sensor. */
const PROVES_WRONG: ReadonlySet<FindingId> = new Set(['sensor-stuck', 'sensor-offset']);

/**
 * Reviews a log: pulls with their peaks and powers, findings, what could not be checked, and what could not be computed.
 * Findings come first: powers do not rest on a sensor that they prove wrong.
 * `resolved` null: without a build sheet, so with fewer findings and no power but by class of engine.
 */
export const reviewLog = (log: Log, resolved: ResolvedBuild | null): Review => {
  const bare = log.pulls.map((pull): ReviewedPull => ({ ...pull, powerW: { agree: true }, curve: [] }));
  const { findings, notChecked } = findAll(log, resolved, bare);
  const doubted = new Set(
    findings.flatMap(({ id, severity, channels }) =>
      PROVES_WRONG.has(id) && severity !== 'note' && channels[0] ? [channels[0]] : [],
    ),
  );
  const powers = pullPowers(log, log.pulls, resolved, doubted);
  const problems: ReviewProblem[] = [];
  const pulls = log.pulls.map((pull, index): ReviewedPull => {
    const { problems: reasons = [], ...power } = powers[index] ?? { powerW: { agree: true }, curve: [] };
    for (const reason of new Set(reasons)) problems.push({ about: `pull ${index + 1}`, reason });
    return { ...pull, ...pullFacts(log, pull, doubted), ...power };
  });
  return { pulls, findings, notChecked, problems };
};
