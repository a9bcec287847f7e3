/** Logged runs: taken in, confirmed, shown, drawn. */
import type { Garage, ReceivedFile, RunRecord } from '../garage/index.ts';
import type { ChannelChoice, ChannelName } from '../logs/index.ts';
import type { ReviewedPull } from '../review/index.ts';
import type { ConfirmRequest, PredictedView, RunSummary, RunView, TracesView, TraceView } from './api.ts';
import type { JobWatch } from './compute.ts';
import { drivenDateOf } from './driven-date.ts';
import type { AppCompute } from './jobs.ts';
import { predictedTrace } from './predicted-trace.ts';
import { BadInput } from './problems.ts';
import { joinChoices, type ReadAnswer, type ReadRequest } from './read-run.ts';
import { REVIEW_VERSION, type ReviewedRun } from './review.ts';
import { isChannelName, siUnitOf } from './si-units.ts';
import { buildSummary } from './summaries.ts';
import { Cancelled } from './watch.ts';

export interface ImportRequest {
  readonly carId: string;
  readonly buildId: string;
  readonly fileName: string;
  /** The file, or one that was received and lies aside; that is kept or dropped, whatever becomes of the reading. */
  readonly bytes: Uint8Array | ReceivedFile;
  readonly assumedRateHz: number | null;
  readonly note?: string;
  /** Last change of the file as its giver states it: ISO 8601 without a zone, on the clock of the place. */
  readonly fileDate?: string;
  /** When it was driven, where that is known from elsewhere. */
  readonly drivenAt?: string;
  /** What is said of its columns at once; a file that cannot be read so is not kept. */
  readonly choices?: readonly ChannelChoice[];
}

export interface TracesRequest {
  readonly runId: string;
  readonly channels: readonly string[];
  readonly startS?: number;
  readonly endS?: number;
  readonly maxPoints: number;
}

/** What is kept of a review. */
export interface KeptReview {
  readonly answer: ReviewedRun['answer'];
  readonly prediction: ReviewedRun['prediction'];
}

/** The kept review of a run; null where there is none, or one by an older version of the rules. */
export const keptOf = (run: RunRecord): KeptReview | null =>
  run.samples !== null && run.reviewVersion === REVIEW_VERSION ? (run.review as KeptReview) : null;

export const runSummary = (run: RunRecord): RunSummary => {
  const { id, carId, buildId, fileName, sha256, importedAt, driven, note, durationS } = run;
  const review = run.samples === null ? null : (run.review as KeptReview);
  const count = (severity: string) =>
    review?.answer.findings.filter((finding) => finding.severity === severity).length ?? 0;
  return {
    id,
    carId,
    buildId,
    fileName,
    sha256,
    importedAt,
    driven,
    note,
    durationS,
    state: review ? 'reviewed' : 'to confirm',
    ...(review
      ? {
          pulls: review.answer.pulls.length,
          findings: { stop: count('stop'), fix: count('fix'), watch: count('watch'), note: count('note') },
        }
      : {}),
  };
};

/** The file of a run with its build and what was said about its columns. */
export const requestFor = (garage: Garage, run: RunRecord, choices: readonly ChannelChoice[]): ReadRequest => ({
  bytes: { path: garage.originalPath(run) },
  name: run.fileName,
  build: garage.build(run.buildId).sheet,
  choices,
  assumedRateHz: run.assumedRateHz,
});

const NOT_REVIEWED = { pulls: [], findings: [], notChecked: [], problems: [] } as const;

const viewOf = (garage: Garage, run: RunRecord, read: ReadAnswer, kept: KeptReview | null): RunView => ({
  run: runSummary(run),
  build: buildSummary(garage.build(run.buildId)),
  log: read.log,
  channels: read.channels,
  unrecognised: read.unrecognised,
  // Reviews that were kept before there were questions have none.
  questions: read.questions ?? [],
  choices: run.choices ?? read.choices ?? [],
  choicesRemembered: read.choicesRemembered,
  segments: read.segments,
  ...(kept
    ? {
        pulls: kept.answer.pulls,
        findings: kept.answer.findings,
        notChecked: kept.answer.notChecked,
        problems: kept.answer.problems,
        ...(kept.answer.knock ? { knock: kept.answer.knock } : {}),
        ...(kept.answer.roadLoad ? { roadLoad: kept.answer.roadLoad } : {}),
      }
    : NOT_REVIEWED),
  ...(kept?.prediction
    ? { prediction: { conditions: kept.prediction.conditions, points: kept.prediction.points } }
    : {}),
  cautions: read.cautions,
});

/** The run as kept; a review by an older version of the rules is made anew from the file, under the choices of then. */
export const runView = async (garage: Garage, compute: AppCompute, run: RunRecord): Promise<RunView> => {
  const kept = keptOf(run);
  if (kept) return viewOf(garage, run, { ...kept.answer, choicesRemembered: (run.choices ?? []).length > 0 }, kept);
  if (run.samples !== null) return confirmRun(garage, compute, run.id, { choices: [], remember: false });
  const request = { ...requestFor(garage, run, []), remembered: garage.choicesBySet() };
  return viewOf(garage, run, (await compute.run('read', request)).answer, null);
};

const stopIfCalledOff = (watch: JobWatch | undefined): void => {
  if (watch?.signal?.aborted) throw new Cancelled('the reading was called off');
};

/** Reads a file and keeps it; its channels are to be confirmed. The same file on the same car is not added twice. A reading that is called off keeps nothing. */
export const importRun = async (
  garage: Garage,
  compute: AppCompute,
  request: ImportRequest,
  watch?: JobWatch,
): Promise<RunView> => {
  const { carId, buildId, fileName, bytes, assumedRateHz, note, choices = [] } = request;
  try {
    const known = garage.runOfFile(carId, bytes);
    if (known) return { ...(await runView(garage, compute, known)), already: true };
    const build = garage.build(buildId);
    if (build.carId !== carId) {
      throw new BadInput('not-found', `The build "${buildId}" is not a build of the car "${carId}".`);
    }
    // Read before it is kept: a file that is no log does not enter the garage.
    const asked = {
      bytes: bytes instanceof Uint8Array ? bytes : { path: bytes.path },
      name: fileName,
      build: build.sheet,
      choices,
      remembered: garage.choicesBySet(),
      assumedRateHz,
    };
    const read = await compute.run('read', asked, watch);
    // Nothing is waited for between this look and the keeping: a run is kept whole or not at all.
    stopIfCalledOff(watch);
    const run = garage.addRun({
      carId,
      buildId,
      fileName,
      bytes,
      assumedRateHz,
      durationS: Math.max(0, read.answer.log.endS - read.answer.log.startS),
      headers: read.headers,
      driven: drivenDateOf(request, read.answer.log.startedAt, Date.now()),
      ...(note === undefined ? {} : { note }),
    });
    return viewOf(garage, run, read.answer, null);
  } finally {
    if (!(bytes instanceof Uint8Array)) garage.drop(bytes);
  }
};

/** Reviews a run under what a person said about its columns, and keeps samples and review. Called off, it leaves the run as it was. */
export const confirmRun = async (
  garage: Garage,
  compute: AppCompute,
  runId: string,
  { choices, remember, drivenAt, note }: ConfirmRequest,
  watch?: JobWatch,
): Promise<RunView> => {
  const run = garage.run(runId);
  const joined = joinChoices(run.choices ?? garage.choicesForSet(run.columnSet) ?? [], choices);
  const asked = { ...requestFor(garage, run, joined), predict: true };
  const { answer, prediction, series, pulls } = await compute.run('review', asked, watch);
  const kept: KeptReview = { answer, prediction };
  const confirmed = await garage.confirmRun(runId, {
    choices: joined,
    remember,
    series,
    review: kept,
    reviewVersion: REVIEW_VERSION,
    pulls,
    ...(drivenAt === undefined ? {} : { drivenAt }),
    ...(note === undefined ? {} : { note }),
    isCalledOff: () => watch?.signal?.aborted ?? false,
  });
  if (!confirmed) throw new Cancelled('the review was called off');
  return viewOf(garage, confirmed, { ...answer, choicesRemembered: remember }, kept);
};

/** A stretch of a run whose channels are confirmed. */
const stretchOf = (garage: Garage, request: TracesRequest) => {
  const run = garage.run(request.runId);
  const unknown = request.channels.find((name) => !isChannelName(name));
  if (unknown !== undefined) throw new BadInput('bad-request', `There is no channel "${unknown}".`);
  if (run.samples === null) {
    throw new BadInput(
      'not-confirmed',
      `The channels of run "${run.id}" are not confirmed yet: confirm them to see its traces.`,
    );
  }
  const { answer, prediction } = run.review as KeptReview;
  const startS = request.startS ?? answer.log.startS;
  const endS = request.endS ?? answer.log.endS;
  if (!(endS > startS))
    throw new BadInput('bad-request', `The stretch must end after it starts (start ${startS}, end ${endS}).`);
  return { run, answer, prediction, startS, endS };
};

/** What the build predicts for channels during the pulls of a stretch of a run. */
export const predictedAlong = async (garage: Garage, request: TracesRequest): Promise<PredictedView> => {
  const { run, answer, prediction, startS, endS } = stretchOf(garage, request);
  const points = prediction?.points ?? [];
  const speed = points.length > 0 ? await speedInPulls(garage, run, answer.pulls, startS, endS, request.maxPoints) : [];
  return {
    runId: run.id,
    startS,
    endS,
    traces: request.channels.flatMap((channel) => {
      const name = channel as ChannelName;
      const predicted = predictedTrace(name, speed, points, prediction?.chargeTemperatureK);
      return predicted.length > 0 ? [{ channel: name, predicted }] : [];
    }),
  };
};

/** Channels of a stretch of a run, thinned to what a screen can show, with the prediction during its pulls. */
export const traces = async (garage: Garage, request: TracesRequest): Promise<TracesView> => {
  const { run, startS, endS } = stretchOf(garage, request);
  const found = await garage.thinnedSamples(run, request.channels, startS, endS, request.maxPoints);
  const predictions = (await predictedAlong(garage, { ...request, startS, endS })).traces;
  return {
    runId: run.id,
    startS,
    endS,
    traces: found
      .filter(({ timesS }) => timesS.length > 0)
      .map(({ channel, timesS, values, decimated }): TraceView => {
        const name = channel as ChannelName;
        const predicted = predictions.find((one) => one.channel === name)?.predicted;
        return {
          channel: name,
          unit: siUnitOf(name),
          decimated,
          timesS: Array.from(timesS),
          values: Array.from(values),
          ...(predicted ? { predicted } : {}),
        };
      }),
  };
};

/** Engine speed through each single-gear stretch of a pull that the asked time touches. */
const speedInPulls = async (
  garage: Garage,
  run: RunRecord,
  pulls: readonly ReviewedPull[],
  startS: number,
  endS: number,
  maxPoints: number,
) => {
  const parts = pulls.flatMap(({ parts }) => parts).filter((part) => part.endS > startS && part.startS < endS);
  if (parts.length === 0) return [];
  const [speed] = await garage.thinnedSamples(run, ['engine-speed'], startS, endS, maxPoints);
  if (!speed) return [];
  const { timesS, values } = speed;
  return parts.map((part) => {
    const inside = (timeS: number) => timeS >= part.startS && timeS <= part.endS;
    return { timesS: timesS.filter(inside), values: values.filter((_, i) => inside(timesS[i] as number)) };
  });
};
