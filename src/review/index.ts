/** The review room: findings and the three powers of every pull. */
import type { ResolvedBuild } from '../car/index.ts';
import type { ChannelName, Log } from '../logs/index.ts';
import { pullBasis } from './compare/basis.ts';
import type { PullBasis } from './compare/types.ts';
import { doubtedChannels } from './doubted.ts';
import { findAll } from './findings/index.ts';
import {
  conditionsOf,
  dayOf,
  type Predicts,
  type PullPower,
  predictedPower,
  pullPowers,
  speedsOf,
  toldPowers,
} from './power/index.ts';
import { type PowerWork, powerWork } from './power-work.ts';
import { problemsOfPulls } from './problems.ts';
import { pullFacts } from './pull-facts.ts';
import type { Band, Finding, NotChecked, Review, ReviewedPull } from './types.ts';

export type { PullBasis, PullComparison } from './compare/types.ts';
export { phrasesText } from './compare/words.ts';
export { type ComparedSide, comparePulls, mostAlike } from './compare.ts';
export { knockEvidence } from './knock-evidence.ts';
export type { KnockEvidence } from './knock-shown.ts';
export type { Predicts } from './power/index.ts';
export { BIN_RPM, conditionsOf, dayOf, predictedPower, type RoadLoadUsed, roadLoadSeen } from './power/index.ts';
export { type PullWorks, powerWorkFrom, pullWorks, withoutCells } from './power-work.ts';
export { pullStatistics } from './pull-statistics.ts';
export { roadLoadText } from './road-load-words.ts';
export type { Band, Finding, Review, ReviewedPull, RoadLoadSeen, Severity } from './types.ts';
export { FINDING_IDS } from './types.ts';

/** What a log shows, and what could not be looked at. */
export interface Found {
  readonly findings: readonly Finding[];
  readonly notChecked: readonly NotChecked[];
}

/**
 * The findings of a log. `onSensors` hears which channels are not to be believed as soon as the sensors have been judged:
 * {@link powerWork} may then begin.
 */
export const findIn = (
  log: Log,
  resolved: ResolvedBuild | null,
  onSensors?: (doubted: ReadonlySet<ChannelName>) => void,
): Found =>
  findAll(
    log,
    resolved,
    log.pulls.map((pull): ReviewedPull => ({ ...pull, powerW: { agree: true }, curve: [] })),
    onSensors ? { onSensors: (findings) => onSensors(doubtedChannels(findings)) } : {},
  );

/** Findings, peaks and powers put together into the review of a log. */
const reviewOf = (
  log: Log,
  { findings, notChecked }: Found,
  powers: readonly PullPower[],
  { knock, roadLoad }: Pick<PowerWork, 'knock' | 'roadLoad'>,
): Review => {
  const doubted = doubtedChannels(findings);
  const pulls = log.pulls.map((pull, index): ReviewedPull => {
    const { problems: _, ...power } = powers[index] ?? { powerW: { agree: true }, curve: [] };
    return { ...pull, ...pullFacts(log, pull, doubted), ...power };
  });
  return {
    pulls,
    findings,
    notChecked,
    problems: problemsOfPulls(powers.map(({ problems = [] }) => problems)),
    ...(knock ? { knock } : {}),
    ...(roadLoad ? { roadLoad } : {}),
  };
};

/** The review of a log whose parts were made one by one, maybe in other threads. `predicted`: the match's power by engine speed. */
export const reviewFrom = (
  log: Log,
  resolved: ResolvedBuild,
  found: Found,
  work: PowerWork,
  predicted: ReadonlyMap<number, Band>,
): Review => reviewOf(log, found, toldPowers(log.pulls, work.pulls, resolved, found.findings, predicted), work);

/**
 * Reviews a log: pulls with their peaks and powers, findings, what could not be checked, and what could not be computed.
 * Findings come first: powers do not rest on a sensor that they prove wrong.
 * `resolved` null: without a build sheet, so with fewer findings and no power but by class of engine.
 * `predicts`: who solves the match in the air of the day, where the caller has that done elsewhere.
 */
export const reviewLog = (log: Log, resolved: ResolvedBuild | null, predicts?: Predicts): Review => {
  const found = findIn(log, resolved);
  const doubted = doubtedChannels(found.findings);
  if (!resolved)
    return reviewOf(log, found, pullPowers(log, log.pulls, null, doubted), { knock: null, roadLoad: null });
  const work = powerWork(log, resolved, doubted);
  const speeds = speedsOf(work.pulls);
  const predicted = predicts ? predicts(speeds) : predictedPower(resolved, conditionsOf(dayOf(log)), speeds);
  return reviewFrom(log, resolved, found, work, predicted);
};

/**
 * What every pull of a log says for a comparison. `logId` names the file; `findings` are those of its review, found anew
 * when they are not given.
 */
export const pullBases = (
  log: Log,
  logId: string,
  resolved: ResolvedBuild,
  findings: readonly Finding[] = findIn(log, resolved).findings,
): readonly PullBasis[] => {
  const doubted = doubtedChannels(findings);
  return log.pulls.map((_, index) => pullBasis(log, logId, index, resolved, doubted));
};
