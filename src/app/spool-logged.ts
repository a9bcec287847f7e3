/** The logged pull that lies over a predicted one: the newest of the car's runs in that gear, from a cruise. */
import type { Garage, RunRecord } from '../garage/index.ts';
import type { ReviewedPull } from '../review/index.ts';
import { REVIEW_VERSION, type ReviewedRun } from './review.ts';
import type { SpoolLoggedPull, SpoolLoggedView } from './spool-api.ts';

const MOST_POINTS = 1500;
/** The manifold before the pedal is read this long before [s]; a pull that begins on boost shows no spool. */
const BEFORE_S = 0.5;
const CRUISE_SHARE = 0.95;

interface Kept {
  readonly answer: ReviewedRun['answer'];
  readonly prediction: ReviewedRun['prediction'];
}

const keptOf = (run: RunRecord): Kept | null =>
  run.samples !== null && run.reviewVersion === REVIEW_VERSION ? (run.review as Kept) : null;

const loggedPull = async (
  garage: Garage,
  run: RunRecord,
  { answer, prediction }: Kept,
  pull: ReviewedPull,
): Promise<SpoolLoggedPull | null> => {
  const part = pull.parts[0]!;
  const found = await garage.thinnedSamples(
    run,
    ['manifold-pressure', 'engine-speed', 'shaft-speed'],
    part.startS - BEFORE_S,
    part.endS,
    MOST_POINTS,
  );
  const named = (name: string) => found.find(({ channel, timesS }) => channel === name && timesS.length > 2);
  const manifold = named('manifold-pressure');
  const speed = named('engine-speed');
  if (!manifold || !speed) return null;
  const outside = answer.log.barometricPressurePa;
  if (!((manifold.values[0] ?? outside) < CRUISE_SHARE * outside)) return null;
  const read = (series: { timesS: Float64Array; values: Float64Array }, at: number): number => {
    let i = 1;
    while (i < series.timesS.length - 1 && series.timesS[i]! < at) i++;
    const part = (at - series.timesS[i - 1]!) / Math.max(1e-9, series.timesS[i]! - series.timesS[i - 1]!);
    return series.values[i - 1]! + (series.values[i]! - series.values[i - 1]!) * Math.min(1, Math.max(0, part));
  };
  const times = Array.from(manifold.timesS).filter((timeS) => timeS >= part.startS);
  if (times.length < 3) return null;
  const shaft = named('shaft-speed');
  return {
    runId: run.id,
    fileName: run.fileName,
    buildId: run.buildId,
    startS: part.startS,
    fromEngineSpeedRpm: read(speed, part.startS),
    conditions: prediction?.conditions ?? null,
    timesS: times.map((timeS) => timeS - part.startS),
    boostPa: times.map((timeS) => read(manifold, timeS) - outside),
    engineSpeedRpm: times.map((timeS) => read(speed, timeS)),
    ...(shaft ? { shaftSpeedRpm: times.map((timeS) => read(shaft, timeS)) } : {}),
  };
};

/** Pulls of this build come before those of another build of the car; newest run first, longest pull first. */
export const spoolLogged = async (garage: Garage, buildId: string, gear: number | null): Promise<SpoolLoggedView> => {
  const { carId } = garage.build(buildId);
  const runs = garage.runs(carId);
  for (const run of [
    ...runs.filter((one) => one.buildId === buildId),
    ...runs.filter((one) => one.buildId !== buildId),
  ]) {
    const kept = keptOf(run);
    if (!kept) continue;
    const pulls = kept.answer.pulls
      .filter(({ parts }) => (gear === null ? parts[0]?.gear != null : parts[0]?.gear === gear))
      .sort((a, b) => b.parts[0]!.endS - b.parts[0]!.startS - (a.parts[0]!.endS - a.parts[0]!.startS));
    for (const pull of pulls) {
      const found = await loggedPull(garage, run, kept, pull);
      if (found) return { gear: pull.parts[0]!.gear, pull: found };
    }
  }
  return { gear, pull: null };
};
