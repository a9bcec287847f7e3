/** What a pull reached: peaks that a single odd reading cannot make. */
import {
  type ChannelName,
  type ChannelSlice,
  channelNamed,
  type Log,
  type Pull,
  resample,
  sliceOf,
} from '../logs/index.ts';
import { lonelyReadings } from './findings/readings.ts';
import type { ReviewedPull } from './types.ts';

export type PullFacts = Pick<
  ReviewedPull,
  | 'peakBoostPa'
  | 'peakAirFlowKgPerS'
  | 'maxChargeTemperatureK'
  | 'maxInjectorDuty'
  | 'minLambda'
  | 'maxLambda'
  | 'maxKnockRetardDeg'
>;

/** A peak must stand in this many readings in a row, where the channel is quick enough. */
const STAND_READINGS = 3;
/** The mixture settles after the pedal goes down and after a shift; its extremes count from here on [s]. */
export const MIXTURE_SETTLES_S = 0.4;

/**
 * Greatest value that `STAND_READINGS` neighbouring readings all reach: the maximum of the running minimum.
 * Fewer readings than that: the middle one. Null without readings.
 */
export const standingMaximum = (values: ArrayLike<number>): number | null => {
  if (values.length === 0) return null;
  if (values.length < STAND_READINGS) return Math.min(...Array.from(values));
  let best = Number.NEGATIVE_INFINITY;
  for (let i = STAND_READINGS - 1; i < values.length; i++) {
    let least = Number.POSITIVE_INFINITY;
    for (let k = 0; k < STAND_READINGS; k++) least = Math.min(least, values[i - k]!);
    best = Math.max(best, least);
  }
  return best;
};

/** Counterpart of {@link standingMaximum}. */
export const standingMinimum = (values: ArrayLike<number>): number | null => {
  const mirrored = standingMaximum(Array.from(values, (value) => -value));
  return mirrored === null ? null : -mirrored;
};

/**
 * Readings of a channel in each part of a pull (not in its shifts), lonely spikes taken out; `settleS` [s] are left out at
 * the start of each part. Empty where the channel was not logged or is in `doubted`.
 */
export const readingsByPart = (
  log: Log,
  pull: Pull,
  name: ChannelName,
  doubted: ReadonlySet<ChannelName>,
  settleS = 0,
): ChannelSlice[] => {
  const channel = doubted.has(name) ? null : channelNamed(log, name);
  if (!channel) return [];
  const near = { ...channel, ...sliceOf(channel, pull.startS - 2, pull.endS + 2) };
  const lonely = lonelyReadings(near);
  const kept = lonely.length === 0 ? near : without(near, new Set(lonely));
  return pull.parts.map(({ startS, endS }) => sliceOf(kept, startS + settleS, endS));
};

const readingsIn = (
  log: Log,
  pull: Pull,
  name: ChannelName,
  doubted: ReadonlySet<ChannelName>,
  settleS = 0,
): number[] => readingsByPart(log, pull, name, doubted, settleS).flatMap(({ values }) => Array.from(values));

const without = <T extends { timesS: Float64Array; values: Float64Array }>(
  channel: T,
  drop: ReadonlySet<number>,
): T => ({
  ...channel,
  timesS: channel.timesS.filter((_, i) => !drop.has(i)),
  values: channel.values.filter((_, i) => !drop.has(i)),
});

/** Peaks of one pull; a key is absent where its channel was not logged or is not believed. */
export const pullFacts = (log: Log, pull: Pull, doubted: ReadonlySet<ChannelName> = new Set()): PullFacts => {
  const most = (name: ChannelName) => standingMaximum(readingsIn(log, pull, name, doubted));
  const pressure = most('manifold-pressure');
  const flow = most('air-flow');
  const charge = most('charge-temperature');
  const duty = dutyOf(log, pull, doubted);
  const lambdas = readingsIn(log, pull, 'lambda', doubted, MIXTURE_SETTLES_S);
  const leanest = standingMaximum(lambdas);
  const richest = standingMinimum(lambdas);
  const retard = most('knock-retard');
  return {
    ...(pressure === null ? {} : { peakBoostPa: pressure - log.barometricPressurePa }),
    ...(flow === null ? {} : { peakAirFlowKgPerS: flow }),
    ...(charge === null ? {} : { maxChargeTemperatureK: charge }),
    ...(duty === null ? {} : { maxInjectorDuty: duty }),
    ...(richest === null ? {} : { minLambda: richest }),
    ...(leanest === null ? {} : { maxLambda: leanest }),
    ...(retard === null ? {} : { maxKnockRetardDeg: Math.max(0, retard) }),
  };
};

/** Duty as logged, else pulse over the time of a cycle (120 / N, four-stroke, one pulse per cycle). */
const dutyOf = (log: Log, pull: Pull, doubted: ReadonlySet<ChannelName>): number | null => {
  const logged = standingMaximum(readingsIn(log, pull, 'injector-duty', doubted));
  if (logged !== null) return logged;
  const pulse = doubted.has('injector-pulse') ? null : channelNamed(log, 'injector-pulse');
  const speed = channelNamed(log, 'engine-speed');
  if (!pulse || !speed) return null;
  return standingMaximum(
    pull.parts.flatMap(({ startS, endS }) => {
      const { timesS, values } = sliceOf(pulse, startS, endS);
      const rpm = resample(speed, timesS);
      return Array.from(values, (seconds, i) => (seconds * rpm[i]!) / 120).filter(Number.isFinite);
    }),
  );
};
