/** How long boost took to build, logged and predicted: the car marched through the logged engine speed. */
import { type Band, bandOf, type PullRecord, readyPath, runPull, sampledRuns } from '../../match/index.ts';
import type { LoadStretch, ReviewContext } from '../context.ts';
import { conditionsOf, dayOf } from '../power/day.ts';
import { runningMean } from './spans.ts';

/** Share of the boost asked for at which both clocks stop: the wastegate is still shut there, so only gas, shaft and map count. */
export const BUILT_SHARE = 0.8;
/** Boost worth waiting for [Pa]. */
const LEAST_WANTED_PA = 25e3;
/** A pull that begins with this share of outside pressure in the manifold was no cruise: its shaft turned already. */
const CRUISE_SHARE = 0.93;
/** The manifold is read this long before the pedal is down [s]. */
const BEFORE_S = 0.3;
const SAMPLES = 48;
const SEED = 1;
/** Boost that has not come by then is not waited for [s]. */
const LONGEST_S = 15;

export interface SpoolTime {
  /** From the pedal; null where boost did not get there in the stretch. */
  readonly loggedS: number | null;
  readonly lengthS: number;
  readonly from: number;
  /** Place on the grid where it arrived, or where the stretch ended. */
  readonly to: number;
  /** Best estimate; null where the model does not get there either. Worked out when it is asked for. */
  readonly expectedS: number | null;
  /** Asked for only where the best estimate makes it worth the time. */
  readonly band: () => Band | null;
}

/** Time at which a record crosses the share of what was asked for over outside. */
const crossingS = (record: PullRecord): number | null => {
  const { timesS, boostPa, boostTargetPa } = record;
  if (!record.sound) return null;
  const place = timesS.findIndex((_, i) => boostPa[i]! >= BUILT_SHARE * boostTargetPa[i]!);
  return place < 0 ? null : timesS[place]!;
};

/** Spool of one stretch; null without boost asked for, without a build, or when it did not begin from a cruise. */
export const spoolTimeOf = (context: ReviewContext, load: LoadStretch): SpoolTime | null => {
  const { resolved, log, timesS } = context;
  const manifold = context.on('manifold-pressure');
  const speed = context.on('engine-speed');
  const wanted = context.wantedManifoldPressurePa();
  if (!resolved || !manifold || !speed || !wanted || load.gear === null) return null;
  const outside = context.barometricPressurePa;
  const before = manifold[Math.max(0, load.from - context.samples(BEFORE_S))]!;
  if (!(before < CRUISE_SHARE * outside)) return null;
  const end = Math.min(load.to, load.from + context.samples(LONGEST_S));
  const smooth = runningMean(speed.slice(load.from, end), context.samples(0.2));
  const rows = Array.from(smooth.keys()).filter(
    (k) => Number.isFinite(smooth[k]!) && Number.isFinite(wanted.values[load.from + k]!),
  );
  if (rows.length < 5) return null;
  const asks = (i: number) => wanted.values[i]! - outside >= LEAST_WANTED_PA;
  if (!rows.some((k) => asks(load.from + k))) return null;
  const there = (i: number) => asks(i) && manifold[i]! - outside >= BUILT_SHARE * (wanted.values[i]! - outside);
  let to = load.from;
  while (to < end && !there(to)) to++;
  const given = {
    timesS: rows.map((k) => timesS[load.from + k]! - load.startS),
    engineSpeedsRpm: rows.map((k) => smooth[k]!),
    targetsPa: rows.map((k) => Math.max(outside, wanted.values[load.from + k]!)),
  };
  const conditions = conditionsOf(dayOf(log));
  const options = {
    gear: load.gear,
    fromRpm: given.engineSpeedsRpm[0]!,
    given,
    startManifoldPa: before,
    endAtShare: 0.95,
  };
  const band = (): Band | null => {
    const draw = sampledRuns(resolved, SAMPLES, SEED);
    const lengthS = given.timesS[given.timesS.length - 1]!;
    return bandOf(
      Array.from({ length: SAMPLES }, (_, i) => {
        const { car, numbers, startCoreOverK } = draw(i);
        const startCoreK = conditions.ambientTemperatureK + startCoreOverK;
        return crossingS(runPull(readyPath(car, conditions, numbers), { ...options, startCoreK })) ?? lengthS;
      }),
    );
  };
  return {
    loggedS: to < end ? timesS[to]! - load.startS : null,
    lengthS: timesS[Math.max(load.from, end - 1)]! - load.startS,
    from: load.from,
    to: Math.min(to, end - 1),
    get expectedS() {
      return crossingS(runPull(readyPath(resolved.car, conditions), options));
    },
    band,
  };
};
