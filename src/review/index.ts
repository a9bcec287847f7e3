/** The review room: findings and the three powers of every pull. */
import type { ResolvedBuild } from '../car/index.ts';
import type { Log } from '../logs/index.ts';
import { pullBasis } from './compare/basis.ts';
import type { PullBasis } from './compare/types.ts';
import { doubtedChannels } from './doubted.ts';
import { findAll } from './findings/index.ts';
import { knockEvidence } from './knock-evidence.ts';
import { type Predicts, pullPowers, roadLoadSeen } from './power/index.ts';
import { problemsOfPulls } from './problems.ts';
import { pullFacts } from './pull-facts.ts';
import type { Band, Finding, Review, ReviewedPull } from './types.ts';

export type {
  ComparedPower,
  ComparedReading,
  ComparedSpeed,
  Headline,
  MeanDifference,
  Phrase,
  PowerMethod,
  PowerShare,
  PullBasis,
  PullComparison,
  ReadingName,
  SameAir,
} from './compare/types.ts';
export { phrasesText } from './compare/words.ts';
export { type ComparedSide, comparePulls, mostAlike, sharedBins } from './compare.ts';
export type { KnockEvidence, TimingShown } from './knock-shown.ts';
export type { Predicts } from './power/index.ts';
export { BIN_RPM, conditionsOf, dayOf } from './power/index.ts';
export { type ChannelStatistics, type PullStatistics, pullStatistics, type StatisticName } from './pull-statistics.ts';
export { type RoadLoadWriters, roadLoadText } from './road-load-words.ts';
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
  RoadLoadSeen,
  Severity,
} from './types.ts';
export { FINDING_IDS } from './types.ts';

const findIn = (log: Log, resolved: ResolvedBuild | null) =>
  findAll(
    log,
    resolved,
    log.pulls.map((pull): ReviewedPull => ({ ...pull, powerW: { agree: true }, curve: [] })),
  );

/**
 * Reviews a log: pulls with their peaks and powers, findings, what could not be checked, and what could not be computed.
 * Findings come first: powers do not rest on a sensor that they prove wrong.
 * `resolved` null: without a build sheet, so with fewer findings and no power but by class of engine.
 * `predicts`: who solves the match in the air of the day, where the caller has that done elsewhere.
 */
export const reviewLog = (log: Log, resolved: ResolvedBuild | null, predicts?: Predicts): Review => {
  const { findings, notChecked } = findIn(log, resolved);
  const doubted = doubtedChannels(findings);
  const road = resolved && roadLoadSeen(log, resolved, doubted);
  const powers = pullPowers(log, log.pulls, road?.resolved ?? null, doubted, predicts, findings);
  const pulls = log.pulls.map((pull, index): ReviewedPull => {
    const { problems: _, ...power } = powers[index] ?? { powerW: { agree: true }, curve: [] };
    return { ...pull, ...pullFacts(log, pull, doubted), ...power };
  });
  const knock = resolved && knockEvidence(log, resolved, doubted);
  return {
    pulls,
    findings,
    notChecked,
    problems: problemsOfPulls(powers.map(({ problems = [] }) => problems)),
    ...(knock ? { knock } : {}),
    ...(road?.seen ? { roadLoad: road.seen } : {}),
  };
};

/** Puts the match's crank power [W] by engine speed [rpm] into the curves of a review that was made without. */
export const withPrediction = (review: Review, predicted: ReadonlyMap<number, Band>): Review => ({
  ...review,
  pulls: review.pulls.map((pull) => ({
    ...pull,
    curve: pull.curve.map((point) => {
      const predictedPowerW = predicted.get(point.engineSpeedRpm);
      return predictedPowerW ? { ...point, predictedPowerW } : point;
    }),
  })),
});

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
