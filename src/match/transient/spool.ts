/** A car's spool, overshoot, lift and heat soak with bands: samples of everything uncertain through the run in time. */
import type { Car, ResolvedBuild } from '../../car/index.ts';
import type { Band, Conditions } from '../types.ts';
import { bandOf } from '../uncertain.ts';
import { type Moment, type SpoolAnswer, type SpoolReason, spoolAnswerOf } from './answers.ts';
import { repeatedPulls } from './heat-soak.ts';
import { type LiftAnswer, type LiftKind, runLift } from './lift.ts';
import { readyPath, runPull } from './pull.ts';
import type { PullRecord } from './record.ts';
import { sampledRuns, type Unsaid, USUAL_UNSAID } from './sampled-numbers.ts';

export interface SpoolRequest {
  /** 1 for first. */
  readonly gear: number;
  readonly fromRpm: number;
  /** Engine speed at which the pedal comes up for the surge question. */
  readonly liftRpm: number;
}

/** Pulls run one after another for the heat soak, and the cruise between them [s]. */
const SOAK_PULLS = 4;
/** Time between repeated pulls [s]: back to the start of the road. Common practice, no source. */
export const SOAK_PAUSE_S = 25;
/** Rows of the curves. */
const CURVE_ROWS = 161;

const SPOOL_CURVES = ['engineSpeedRpm', 'boostPa', 'boostTargetPa', 'shaftSpeedRpm', 'chargeTemperatureK'] as const;
export type SpoolCurve = (typeof SPOOL_CURVES)[number];

const KEYS: Readonly<Record<SpoolCurve, keyof PullRecord>> = {
  engineSpeedRpm: 'engineSpeedsRpm',
  boostPa: 'boostPa',
  boostTargetPa: 'boostTargetPa',
  shaftSpeedRpm: 'shaftSpeedsRpm',
  chargeTemperatureK: 'chargeTemperaturesK',
};

/** One car's run: plain numbers, for workers to hand over. */
export interface SpoolSample {
  readonly answer: SpoolAnswer;
  readonly lift: LiftAnswer;
  readonly highestChargeK: number;
  readonly soakedChargeK: readonly number[];
  readonly endS: number;
  /** Values at the times asked; shorter where the run ended before. */
  readonly curves: Readonly<Record<SpoolCurve, readonly number[]>>;
}

/** Times at which curves are read, to the end of the best estimate's run [s]: closer together early, where boost builds. */
export const curveTimesS = (endS: number): number[] =>
  Array.from({ length: CURVE_ROWS }, (_, i) => endS * (i / (CURVE_ROWS - 1)) ** 1.6);

const readAt = (timesS: readonly number[], values: readonly number[], at: readonly number[]): number[] => {
  const out: number[] = [];
  let i = 1;
  for (const t of at) {
    while (i < timesS.length - 1 && timesS[i]! < t) i++;
    if (t > timesS[timesS.length - 1]! + 1e-9 || timesS.length < 2) break;
    const part = (t - timesS[i - 1]!) / Math.max(1e-12, timesS[i]! - timesS[i - 1]!);
    out.push(values[i - 1]! + (values[i]! - values[i - 1]!) * Math.min(1, Math.max(0, part)));
  }
  return out;
};

/** One car through pull, lift and repeated pulls. `timesS` null: its own curve times. */
export const spoolSample = (
  car: Car,
  conditions: Conditions,
  request: SpoolRequest,
  timesS: readonly number[] | null = null,
  unsaid: Unsaid = USUAL_UNSAID,
): SpoolSample => {
  const path = readyPath(car, conditions, unsaid.numbers);
  const startCoreK = conditions.ambientTemperatureK + unsaid.startCoreOverK;
  const { gear, fromRpm } = request;
  const record = runPull(path, { gear, fromRpm, startCoreK, cruiseFactor: unsaid.cruise });
  const lift = runLift(path, { gear: request.gear, atRpm: request.liftRpm });
  const endS = record.timesS[record.timesS.length - 1] ?? 0;
  const at = timesS ?? curveTimesS(endS);
  const highestChargeK = record.chargeTemperaturesK.reduce((most, value) => Math.max(most, value), 0);
  const repeats = record.sound ? repeatedPulls(path.prepared, record, SOAK_PULLS, SOAK_PAUSE_S, startCoreK) : [];
  // The first of them is this pull: what follows is told by how much it differs.
  const soaked = repeats.map((pull) => highestChargeK + pull.highestChargeK - repeats[0]!.highestChargeK);
  const curves = Object.fromEntries(
    SPOOL_CURVES.map((name) => [name, record.sound ? readAt(record.timesS, record[KEYS[name]] as number[], at) : []]),
  ) as Record<SpoolCurve, number[]>;
  return {
    answer: spoolAnswerOf(record),
    lift,
    highestChargeK,
    soakedChargeK: soaked,
    endS,
    curves,
  };
};

/** Samples `from` up to (not counting) `to` of `samples`: one share for a worker. */
export const spoolShare = (
  resolved: ResolvedBuild,
  conditions: Conditions,
  request: SpoolRequest,
  timesS: readonly number[],
  share: { readonly samples: number; readonly from: number; readonly to: number },
  seed: number,
): SpoolSample[] => {
  const draw = sampledRuns(resolved, share.samples, seed);
  return Array.from({ length: share.to - share.from }, (_, i) => {
    const run = draw(share.from + i);
    return spoolSample(run.car, conditions, request, timesS, run);
  });
};

/** A moment with bands, and the share of samples in which it came at all. */
export interface BandedMoment {
  readonly timeS: Band;
  readonly engineSpeedRpm: Band;
  readonly chance: number;
}

export interface BandedSpool {
  readonly request: SpoolRequest;
  readonly conditions: Conditions;
  readonly samples: number;
  /** 90 % of the boost asked for; null with a reason where the best estimate does not get there. */
  readonly arrived: BandedMoment | null;
  readonly reached: BandedMoment | null;
  readonly reason: SpoolReason | null;
  readonly overshootPa: Band;
  readonly overshootS: Band;
  readonly peakShaftSpeedRpm: Band;
  readonly peakOutletTemperatureK: Band;
  readonly highestChargeTemperatureK: Band;
  /** Highest charge temperature of each of {@link SOAK_PULLS} pulls with {@link SOAK_PAUSE_S} between. */
  readonly repeatedPulls: readonly Band[];
  readonly lift: {
    readonly kind: LiftKind;
    readonly boostPa: Band;
    readonly chanceOfSurge: number;
    readonly leastFlowShare: Band;
    readonly cycles: Band;
    readonly leftS: Band;
  };
  readonly curves: { readonly timesS: readonly number[] } & { readonly [K in SpoolCurve]: readonly Band[] };
}

const bandOr = (values: readonly number[], alone: number): Band =>
  bandOf(values.filter(Number.isFinite)) ?? { p10: alone, p50: alone, p90: alone };

const momentOf = (
  best: Moment | null,
  all: readonly SpoolSample[],
  which: 'arrived' | 'reached',
): BandedMoment | null => {
  if (!best) return null;
  const came = all.map(({ answer }) => answer[which]).filter((moment): moment is Moment => moment !== null);
  return {
    timeS: bandOr(
      came.map(({ timeS }) => timeS),
      best.timeS,
    ),
    engineSpeedRpm: bandOr(
      came.map(({ engineSpeedRpm }) => engineSpeedRpm),
      best.engineSpeedRpm,
    ),
    chance: all.length > 0 ? came.length / all.length : 1,
  };
};

/**
 * Puts samples together. Cases, reasons and the length of the curves are those of the best estimate; at a time that
 * fewer than half of the samples reach, the curves end.
 */
export const combineSpool = (
  best: SpoolSample,
  samples: readonly SpoolSample[],
  request: SpoolRequest,
  conditions: Conditions,
): BandedSpool => {
  const sound = samples.filter(({ answer, lift }) => answer.reason !== 'no balance found' && lift.sound);
  const band = (of: (sample: SpoolSample) => number) => bandOr(sound.map(of), of(best));
  const timesS = curveTimesS(best.endS);
  const rows = timesS.findIndex((_, i) => sound.filter((s) => s.curves.boostPa.length > i).length < 0.5 * sound.length);
  const kept = rows < 0 || sound.length === 0 ? timesS : timesS.slice(0, Math.max(2, rows));
  const curves = Object.fromEntries(
    SPOOL_CURVES.map((name) => [
      name,
      kept.map((_, i) =>
        bandOr(
          sound.flatMap((s) => {
            const value = s.curves[name][i];
            return value === undefined ? [] : [value];
          }),
          best.curves[name][i] ?? 0,
        ),
      ),
    ]),
  ) as unknown as { readonly [K in SpoolCurve]: readonly Band[] };
  const surging = sound.filter(({ lift }) => lift.kind === 'surges').length;
  return {
    request,
    conditions,
    samples: samples.length,
    arrived: momentOf(best.answer.arrived, sound, 'arrived'),
    reached: momentOf(best.answer.reached, sound, 'reached'),
    reason: best.answer.reason,
    overshootPa: band(({ answer }) => answer.overshootPa),
    overshootS: band(({ answer }) => answer.overshootS),
    peakShaftSpeedRpm: band(({ answer }) => answer.peakShaftRpm),
    peakOutletTemperatureK: band(({ answer }) => answer.peakOutletK),
    highestChargeTemperatureK: band(({ highestChargeK }) => highestChargeK),
    repeatedPulls: best.soakedChargeK.map((alone, i) =>
      bandOr(
        sound.flatMap(({ soakedChargeK }) => (soakedChargeK[i] === undefined ? [] : [soakedChargeK[i]])),
        alone,
      ),
    ),
    lift: {
      kind: best.lift.kind,
      boostPa: band(({ lift }) => lift.boostPa),
      chanceOfSurge: sound.length > 0 ? surging / sound.length : Number(best.lift.kind === 'surges'),
      leastFlowShare: band(({ lift }) => lift.leastFlowShare),
      cycles: band(({ lift }) => lift.cycles),
      leftS: band(({ lift }) => lift.leftS),
    },
    curves: { timesS: kept, ...curves },
  };
};

/** The whole answer in this thread. Same build, conditions, request and seed: same answer. */
export const spoolWithBands = (
  resolved: ResolvedBuild,
  conditions: Conditions,
  request: SpoolRequest,
  options: { readonly samples?: number | undefined; readonly seed?: number | undefined } = {},
): BandedSpool => {
  const { samples = 100, seed = 1 } = options;
  const best = spoolSample(resolved.car, conditions, request);
  const drawn = spoolShare(
    resolved,
    conditions,
    request,
    curveTimesS(best.endS),
    { samples, from: 0, to: samples },
    seed,
  );
  return combineSpool(best, drawn, request, conditions);
};
