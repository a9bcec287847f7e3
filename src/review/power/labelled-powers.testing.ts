/** For tests and scores: powers of the labelled logs beside the checkout, reviewed with their owners' sheets, against the truth. */
import { checkBuild, type ResolvedBuild, resolveBuild } from '../../car/index.ts';
import { type Pull, readLog } from '../../logs/index.ts';
import { doubtedChannels } from '../doubted.ts';
import { findAll } from '../findings/index.ts';
import type { ReviewedPull } from '../types.ts';
import { BELIEF, type Belief, type BinPower, combine, NORMAL_90 } from './combine.ts';
import { dayOf } from './day.ts';
import { pullEstimates } from './pull-estimates.ts';
import { pullPowers } from './pull-powers.ts';

export { BELIEF } from './combine.ts';

/** Folders of labelled logs, by name. */
export const LABELLED_SETS = ['each', 'mixed'] as const;
export const WAYS = ['combined', 'air', 'fuel', 'acceleration', 'without a build'] as const;
export type Way = (typeof WAYS)[number];

/** Where labels, maps and logs are read from, and how a told car becomes a build sheet. */
export interface LabelledFolder {
  /** Names of the label files of a set. */
  readonly labels: (set: string) => readonly string[];
  /** Bytes of a file of a set. */
  readonly bytes: (set: string, path: string) => Uint8Array;
  readonly build: (told: unknown, map: unknown) => unknown;
}

/** One true power of one bin of one log, and what a way says of it. */
export interface LabelledPoint {
  readonly set: string;
  readonly log: string;
  readonly car: string;
  readonly clean: boolean;
  readonly way: Way;
  /** Of the believed shares that were asked for. */
  readonly share: number;
  /** ln(told / true). */
  readonly error: number;
  /** Told standard deviation of it. */
  readonly sd: number;
}

interface TruePull {
  readonly t_start: number;
  readonly t_end: number;
  readonly gear: number;
  readonly curve: { readonly rpm: number[]; readonly power_kW: number[] };
}

interface Truth {
  readonly log: string;
  readonly car: string;
  readonly clean: boolean;
  readonly pulls: TruePull[];
  readonly t0_log_s: number;
  readonly time_map: { readonly from_s: number; readonly to_s: number | null; readonly log_minus_true_s: number }[];
  readonly told_car: unknown;
  readonly told_compressor_map: string;
}

const onLogClock = (truth: Truth, timeS: number): number => {
  const row = truth.time_map.find(({ from_s, to_s }) => timeS >= from_s && (to_s === null || timeS < to_s));
  return timeS + (row?.log_minus_true_s ?? truth.t0_log_s);
};

const jsonOf = (bytes: Uint8Array): unknown => JSON.parse(new TextDecoder().decode(bytes));

const ownersBuild = (folder: LabelledFolder, set: string, truth: Truth): ResolvedBuild => {
  const read = checkBuild(folder.build(truth.told_car, jsonOf(folder.bytes(set, truth.told_compressor_map))));
  if (!read.ok) throw new Error(`${truth.log}: ${JSON.stringify(read.problems)}`);
  return resolveBuild(read.build);
};

/** True power [W] in the bin of a pull, or null where the label has none. */
const truthOf = (truth: Truth, pull: Pull, gear: number | null, engineSpeedRpm: number): number | null => {
  for (const one of truth.pulls) {
    const covered = pull.startS < onLogClock(truth, one.t_end) && pull.endS > onLogClock(truth, one.t_start);
    const at = covered && (gear === null || one.gear === gear) ? one.curve.rpm.indexOf(engineSpeedRpm) : -1;
    if (at >= 0) return one.curve.power_kW[at]! * 1e3;
  }
  return null;
};

const pointsOf = (folder: LabelledFolder, set: string, name: string, beliefs: readonly Belief[]): LabelledPoint[] => {
  const truth = jsonOf(folder.bytes(set, name)) as Truth;
  if (truth.pulls.length === 0) return [];
  const resolved = ownersBuild(folder, set, truth);
  const { facts, driveline, tyres } = resolved.car;
  const rpmPerMPerS = facts.gearRatios.map((r) => (r * driveline.finalDrive * 30) / (Math.PI * tyres.rollingRadiusM));
  const bytes = folder.bytes(set, truth.log);
  const read = readLog(bytes, { gearing: { rpmPerMPerS } });
  const bare = readLog(bytes);
  if (!read.ok || !bare.ok) throw new Error(`${name} cannot be read`);
  const { log } = read;
  const unpowered = log.pulls.map((pull): ReviewedPull => ({ ...pull, powerW: { agree: true }, curve: [] }));
  const doubted = doubtedChannels(findAll(log, resolved, unpowered).findings);
  const about = { set, log: name, car: truth.car, clean: truth.clean };
  const points: LabelledPoint[] = [];
  const put = (way: Way, share: number, power: BinPower | null | undefined, trueW: number) => {
    if (power) points.push({ ...about, way, share, error: power.logPower - Math.log(trueW), sd: power.sd });
  };
  for (const pull of log.pulls) {
    const estimates = pullEstimates(log, pull, resolved, dayOf(log), doubted);
    for (const belief of beliefs) {
      const all = combine(estimates, belief);
      estimates.bins.forEach(({ gear, engineSpeedRpm }, bin) => {
        const trueW = truthOf(truth, pull, gear, engineSpeedRpm);
        if (trueW === null) return;
        put('combined', belief.share, all.combined[bin], trueW);
        put('air', belief.share, all.fromAir[bin], trueW);
        put('fuel', belief.share, all.fromFuel[bin], trueW);
        put('acceleration', belief.share, all.fromAcceleration[bin], trueW);
      });
    }
  }
  const { log: alone } = bare;
  pullPowers(alone, alone.pulls, null).forEach(({ curve }, index) => {
    for (const { engineSpeedRpm, gear, powerW } of curve) {
      const trueW = truthOf(truth, alone.pulls[index]!, gear, engineSpeedRpm);
      if (trueW === null) continue;
      const sd = Math.log(powerW.p90 / powerW.p50) / NORMAL_90;
      put('without a build', BELIEF.share, { logPower: Math.log(powerW.p50), sd }, trueW);
    }
  });
  return points;
};

/** Every point of every labelled log, once for each belief. */
export const labelledPoints = (folder: LabelledFolder, beliefs: readonly Belief[] = [BELIEF]): LabelledPoint[] =>
  LABELLED_SETS.flatMap((set) => folder.labels(set).flatMap((name) => pointsOf(folder, set, name, beliefs)));

export interface PowerScore {
  readonly points: number;
  readonly logs: number;
  /** Share of truths inside p10 to p90. */
  readonly inside: number;
  readonly medianError: number;
  readonly bias: number;
  readonly rms: number;
  /** Root mean square of error over told standard deviation. */
  readonly normalised: number;
  /** Mean of (p90 - p10) / p50. */
  readonly width: number;
}

const meanOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
const middle = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;

export const powerScore = (points: readonly LabelledPoint[]): PowerScore => ({
  points: points.length,
  logs: new Set(points.map(({ set, log }) => set + log)).size,
  inside: meanOf(points.map(({ error, sd }) => (Math.abs(error) <= NORMAL_90 * sd ? 1 : 0))),
  medianError: middle(points.map(({ error }) => Math.abs(error))),
  bias: middle(points.map(({ error }) => error)),
  rms: Math.sqrt(meanOf(points.map(({ error }) => error ** 2))),
  normalised: Math.sqrt(meanOf(points.map(({ error, sd }) => (error / sd) ** 2))),
  width: meanOf(points.map(({ sd }) => 2 * NORMAL_90 * sd)),
});

/** Minus the mean log likelihood of the truths, every log counted once; less is better. */
export const surprise = (points: readonly LabelledPoint[]): number => {
  const logs = new Map<string, number[]>();
  for (const { set, log, error, sd } of points) {
    const name = `${set}/${log}`;
    logs.set(name, [...(logs.get(name) ?? []), Math.log(sd) + 0.5 * (error / sd) ** 2]);
  }
  return meanOf([...logs.values()].map(meanOf));
};
