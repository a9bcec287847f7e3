/** A log read and reviewed: the shape that `boostwright review --json` prints, and the series that the store keeps. */
import { createHash } from 'node:crypto';
import { z } from 'zod';
import { type Build, type Car, type ResolvedBuild, resolveBuild } from '../car/index.ts';
import { CHANNEL_NAMES, type Channel, type ChannelChoice, channelNamed, type Log, readLog } from '../logs/index.ts';
import { type BandedMatchPoint, type Conditions, matchWithBands } from '../match/index.ts';
import { conditionsOf, dayOf, type Review, reviewLog } from '../review/index.ts';
import type { ChannelView, LogView } from './api.ts';
import { reviewCautions } from './cautions.ts';
import { matchSpeedsRpm } from './match.ts';
import { BadInput } from './problems.ts';

/** Raise when a review of the same file would come out differently: kept reviews are then made anew. */
export const REVIEW_VERSION = '1';

/** Refused rows that are listed one by one; the rest is counted. */
const MOST_REFUSED_ROWS_LISTED = 200;

const choiceSchema = z.object({
  column: z.string().min(1),
  channel: z.enum(CHANNEL_NAMES).nullable(),
  unit: z.string().optional(),
  reference: z.enum(['gauge', 'absolute']).optional(),
});
export const choicesSchema = z.array(choiceSchema).max(2000);

/** Choices from the text of a `--map` file: a list, or an earlier answer with its `channels`. */
export const readChoices = (text: string, name: string): ChannelChoice[] => {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    throw new BadInput('bad-map', `${name} is not JSON (${error instanceof Error ? error.message : String(error)}).`);
  }
  const list = z.object({ channels: z.unknown() }).safeParse(value);
  const read = choicesSchema.safeParse(list.success ? list.data.channels : value);
  if (read.success) return read.data;
  throw new BadInput(
    'bad-map',
    `${name} is not a list of column choices like [{ "column": "MAP", "channel": "manifold-pressure", "unit": "kPa" }].`,
    read.error.issues.map((issue) => ({ path: issue.path.join('.'), says: issue.message })),
  );
};

export interface ReviewRequest {
  readonly bytes: Uint8Array;
  /** What to call the file in sentences. */
  readonly name: string;
  readonly build: Build | null;
  readonly choices: readonly ChannelChoice[];
  readonly assumedRateHz: number | null;
  /** Also lay the build's match in the air of the day beside it. */
  readonly predict?: boolean;
}

/** The answer of `boostwright review --json`. */
export interface ReviewAnswer extends Review {
  readonly schema: 'boostwright.review/1';
  readonly log: LogView;
  readonly channels: readonly ChannelView[];
  readonly unrecognised: Log['unrecognised'];
  readonly segments: Log['segments'];
  readonly cautions: readonly string[];
}

const extremesOf = (values: Float64Array): { lowest: number; highest: number } => {
  let lowest = Number.POSITIVE_INFINITY;
  let highest = Number.NEGATIVE_INFINITY;
  for (const value of values) {
    if (value < lowest) lowest = value;
    if (value > highest) highest = value;
  }
  return { lowest, highest };
};

const channelView = (channel: Channel): ChannelView => ({
  index: channel.index,
  column: channel.column,
  channel: channel.channel,
  unit: channel.unit,
  ...(channel.reference ? { reference: channel.reference } : {}),
  confidence: channel.confidence,
  rateHz: channel.rateHz,
  because: channel.because,
  readings: channel.values.length,
  ...(channel.values.length > 0 ? extremesOf(channel.values) : {}),
});

export const logView = (log: Log, bytes: Uint8Array, name: string): LogView => ({
  file: name,
  sha256: createHash('sha256').update(bytes).digest('hex'),
  rows: log.table.rows,
  rowsRefused: log.table.rowsRefused.slice(0, MOST_REFUSED_ROWS_LISTED),
  rowsRefusedTotal: log.table.rowsRefused.length,
  startS: log.startS,
  endS: log.endS,
  medianRateHz: log.medianRateHz,
  barometricPressurePa: log.barometricPressurePa,
  barometricFrom: log.barometricFrom,
  dialect: log.table.dialect,
});

/** A review as the store keeps it, with the series for its samples. */
export interface ReviewedRun {
  readonly answer: ReviewAnswer;
  readonly headers: readonly string[];
  readonly series: readonly {
    readonly channel: string;
    readonly timesS: Float64Array;
    readonly values: Float64Array;
  }[];
  /** The build's match in the air of the day; null without a build. */
  readonly prediction: { readonly conditions: Conditions; readonly points: readonly BandedMatchPoint[] } | null;
}

/** Cars solved for the bands of a prediction laid beside a log. */
const PREDICTION_SAMPLES = 64;

/** Engine speed per road speed by gear [rpm/(m/s)], for telling gears apart. */
const gearingOf = ({ facts, driveline, tyres }: Car) => ({
  rpmPerMPerS: facts.gearRatios.map(
    (ratio) => (ratio * driveline.finalDrive * 60) / (2 * Math.PI * tyres.rollingRadiusM),
  ),
});

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
  return { conditions, points };
};

/**
 * Reads a log, recognises and reviews it.
 * @throws BadInput where the file is no log, with one sentence.
 */
export const reviewedLog = ({
  bytes,
  name,
  build,
  choices,
  assumedRateHz,
  predict = false,
}: ReviewRequest): ReviewedRun => {
  const resolved = build ? resolveBuild(build) : null;
  const car = resolved?.car ?? null;
  const read = readLog(bytes, {
    choices,
    ...(assumedRateHz === null ? {} : { assumedRateHz }),
    ...(car ? { gearing: gearingOf(car) } : {}),
  });
  if (!read.ok) throw new BadInput(read.problem.code, `${name}: ${read.problem.says}`);
  const { log } = read;
  const answer: ReviewAnswer = {
    schema: 'boostwright.review/1',
    log: logView(log, bytes, name),
    channels: log.channels.map(channelView),
    unrecognised: log.unrecognised,
    segments: log.segments,
    ...reviewLog(log, resolved),
    cautions: reviewCautions(car),
  };
  return {
    answer,
    headers: log.table.columns.map(({ header }) => header),
    series: seriesOf(log),
    prediction: resolved && predict ? predictionFor(resolved, log) : null,
  };
};
