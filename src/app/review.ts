/** A log reviewed: the shape that `boostwright review --json` prints, and the series that the store keeps. */
import type { KeptPulls } from '../garage/index.ts';
import { channelNamed, type Log, type ReadWatch } from '../logs/index.ts';
import type { BandedMatchPoint, Conditions } from '../match/index.ts';
import { conditionsOf, dayOf, type Review, reviewLog } from '../review/index.ts';
import { chargePrediction, type PredictedPiece } from './charge-prediction.ts';
import { matchSpeedsRpm } from './match.ts';
import { powerByRpm, predictedPoints, speedsToPredict } from './predict.ts';
import { PULLS_VERSION, pullRecords } from './pulls.ts';
import { type OpenedLog, openLog, type ReadAnswer, type ReadRequest } from './read-run.ts';

/** Raise when a review of the same file would come out differently: kept reviews are then made anew. */
export const REVIEW_VERSION = '6';

export interface ReviewRequest extends ReadRequest {
  /** Also lay the build's match in the air of the day beside it. */
  readonly predict?: boolean;
}

/** The answer of `boostwright review --json`. */
export interface ReviewAnswer extends ReadAnswer, Review {
  readonly schema: 'boostwright.review/1';
}

/** A review as the store keeps it, with the series for its samples. */
export interface ReviewedRun {
  readonly answer: ReviewAnswer;
  readonly series: readonly {
    readonly channel: string;
    readonly timesS: Float64Array;
    readonly values: Float64Array;
  }[];
  /** Its pulls as the garage keeps them for looking through. */
  readonly pulls: KeptPulls;
  /** The build's match in the air of the day; null without a build, or when it was not asked for. */
  readonly prediction: {
    readonly conditions: Conditions;
    readonly points: readonly BandedMatchPoint[];
    /** Charge temperature along each pull, with what came before it. */
    readonly chargeTemperatureK: readonly PredictedPiece[];
  } | null;
}

/** The surest channel of each name. */
const seriesOf = (log: Log): ReviewedRun['series'] =>
  [...new Set(log.channels.map(({ channel }) => channel))].flatMap((name) => {
    const found = channelNamed(log, name);
    return found ? [{ channel: name, timesS: found.timesS, values: found.values }] : [];
  });

/** What was read of a log and its review as one answer. */
export const reviewAnswer = (answer: ReadAnswer, review: Review): ReviewAnswer => ({
  schema: 'boostwright.review/1',
  ...answer,
  ...review,
});

const reviewedRun = (
  { log, answer }: OpenedLog,
  review: Review,
  prediction: ReviewedRun['prediction'],
): ReviewedRun => ({
  answer: reviewAnswer(answer(), review),
  series: seriesOf(log),
  pulls: { version: PULLS_VERSION, pulls: pullRecords(log, review) },
  prediction,
});

/**
 * Reads a log, recognises and reviews it.
 * @throws BadInput where the file is no log, with one sentence.
 */
export const reviewedLog = ({ predict = false, ...request }: ReviewRequest, watch?: ReadWatch): ReviewedRun => {
  const open = openLog(request, watch);
  const { log, resolved } = open;
  if (!resolved || !(predict || log.pulls.length > 0)) return reviewedRun(open, reviewLog(log, resolved), null);
  const conditions = conditionsOf(dayOf(log));
  const points = predictedPoints(resolved, conditions, speedsToPredict(resolved.car, log.pulls));
  const review = reviewLog(log, resolved, () => powerByRpm(points));
  if (!predict) return reviewedRun(open, review, null);
  const usual = new Set(matchSpeedsRpm(resolved.car));
  return reviewedRun(open, review, {
    conditions,
    points: points.filter(({ engineSpeedRpm }) => usual.has(engineSpeedRpm)),
    chargeTemperatureK: chargePrediction(resolved, log, conditions),
  });
};
