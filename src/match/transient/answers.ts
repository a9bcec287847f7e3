/** What a pull says about spool, overshoot and peaks. */
import type { PullRecord } from './record.ts';

/** Why boost does not come, as codes that are words. */
export const SPOOL_REASONS = [
  'target not reached before the rev limit',
  'engine speed falls in this gear',
  'no boost is asked for',
  'start speed outside what the engine runs at',
  'no balance found',
] as const;
export type SpoolReason = (typeof SPOOL_REASONS)[number];

/** Share of the boost asked for, over outside, at which boost counts as there. */
const ARRIVED_SHARE = 0.9;
/** Share at which the target counts as reached: inside what a boost control holds. */
const REACHED_SHARE = 0.99;
/** Boost over target that counts towards its time: what a sensor can tell [Pa]. */
const OVER_PA = 2e3;
const LEAST_TARGET_PA = 10e3;

/** When something happened: time from the pedal [s] and engine speed then [rpm]. */
export interface Moment {
  readonly timeS: number;
  readonly engineSpeedRpm: number;
}

export interface SpoolAnswer {
  /** At 90 % of the boost asked for; null with `reason`. */
  readonly arrived: Moment | null;
  /** At the target itself; null where boost settles short of it. */
  readonly reached: Moment | null;
  readonly reason: SpoolReason | null;
  /** Most boost over target after it arrived [Pa] and how long more than 2 kPa over [s]; 0 where it never arrived. */
  readonly overshootPa: number;
  readonly overshootS: number;
  readonly peakShaftRpm: number;
  readonly peakOutletK: number;
}

/**
 * First crossing of `share` of the asked boost, between rows by a straight line; null without one. By 'absolute' the share
 * is of absolute pressure [-], `ambientPa` the outside [Pa].
 */
export const firstAtShare = (
  record: PullRecord,
  share: number,
  by: 'boost' | 'absolute' = 'boost',
  ambientPa = 0,
): Moment | null => {
  const { timesS, engineSpeedsRpm, boostPa, boostTargetPa } = record;
  const plus = by === 'absolute' ? ambientPa : 0;
  const short = (i: number) => share * (boostTargetPa[i]! + plus) - (boostPa[i]! + plus);
  for (let i = 0; i < timesS.length; i++) {
    if (short(i) > 0) continue;
    if (i === 0) return { timeS: 0, engineSpeedRpm: engineSpeedsRpm[0]! };
    const part = short(i - 1) / Math.max(1e-9, short(i - 1) - short(i));
    return {
      timeS: timesS[i - 1]! + part * (timesS[i]! - timesS[i - 1]!),
      engineSpeedRpm: engineSpeedsRpm[i - 1]! + part * (engineSpeedsRpm[i]! - engineSpeedsRpm[i - 1]!),
    };
  }
  return null;
};

/** The answers of a record; total: a typed reason where boost does not arrive. */
export const spoolAnswerOf = (record: PullRecord): SpoolAnswer => {
  const { timesS, boostPa, boostTargetPa } = record;
  const asked = Math.max(...boostTargetPa) >= LEAST_TARGET_PA;
  const arrived = record.sound && asked ? firstAtShare(record, ARRIVED_SHARE) : null;
  const reached = arrived ? firstAtShare(record, REACHED_SHARE) : null;
  let overshootPa = 0;
  let overshootS = 0;
  if (arrived) {
    for (let i = 1; i < timesS.length; i++) {
      if (timesS[i]! < arrived.timeS) continue;
      const over = boostPa[i]! - boostTargetPa[i]!;
      if (over > overshootPa) overshootPa = over;
      if (over > OVER_PA) overshootS += timesS[i]! - timesS[i - 1]!;
    }
  }
  const why: SpoolReason = !record.sound
    ? 'no balance found'
    : !asked
      ? 'no boost is asked for'
      : record.end === 'stalled'
        ? 'engine speed falls in this gear'
        : 'target not reached before the rev limit';
  return {
    arrived,
    reached,
    reason: arrived ? null : why,
    overshootPa,
    overshootS,
    peakShaftRpm: record.peakShaftRpm,
    peakOutletK: record.peakOutletK,
  };
};
