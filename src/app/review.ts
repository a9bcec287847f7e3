/** A log reviewed: the shape that `boostwright review --json` prints, and the series that the store keeps. */
import type { ResolvedBuild } from '../car/index.ts';
import type { KeptPulls } from '../garage/index.ts';
import { channelNamed, type Log, type ReadWatch } from '../logs/index.ts';
import { type BandedMatchPoint, type Conditions, matchWithBands } from '../match/index.ts';
import { conditionsOf, dayOf, type Review, reviewLog } from '../review/index.ts';
import { chargePrediction, type PredictedPiece } from './charge-prediction.ts';
import { matchSpeedsRpm } from './match.ts';
import { PULLS_VERSION, pullRecords } from './pulls.ts';
import { openLog, type ReadAnswer, type ReadRequest } from './read-run.ts';

/** Raise when a review of the same file would come out differently: kept reviews are then made anew. */
export const REVIEW_VERSION = '3';

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

/** Cars solved for the bands of a prediction laid beside a log. */
const PREDICTION_SAMPLES = 64;

/** The surest channel of each name. */
const seriesOf = (log: Log): ReviewedRun['series'] =>
  [...new Set(log.channels.map(({ channel }) => channel))].flatMap((name) => {
    const found = channelNamed(log, name);
    return found ? [{ channel: name, timesS: found.timesS, values: found.values }] : [];
  });

const predictionFor = (resolved: ResolvedBuild, log: Log): NonNullable<ReviewedRun['prediction']> => {
  const conditions = conditionsOf(dayOf(log));
  const { points } = matchWithBands(resolved, conditions, {
    samples: PREDICTION_SAMPLES,
    engineSpeedsRpm: matchSpeedsRpm(resolved.car),
  });
  return { conditions, points, chargeTemperatureK: chargePrediction(resolved, log, conditions) };
};

/**
 * Reads a log, recognises and reviews it.
 * @throws BadInput where the file is no log, with one sentence.
 */
export const reviewedLog = ({ predict = false, ...request }: ReviewRequest, watch?: ReadWatch): ReviewedRun => {
  const { log, resolved, answer } = openLog(request, watch);
  const review = reviewLog(log, resolved);
  return {
    answer: { schema: 'boostwright.review/1', ...answer, ...review },
    series: seriesOf(log),
    pulls: { version: PULLS_VERSION, pulls: pullRecords(log, review) },
    prediction: resolved && predict ? predictionFor(resolved, log) : null,
  };
};
