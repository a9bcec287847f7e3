/** Every channel of a pull in four numbers, so that pulls of a car can be looked through: least, most, mean, at peak power. */
import { type Channel, type ChannelName, type ChannelSlice, channelNamed, type Log, resample } from '../logs/index.ts';
import type { ReadingName } from './compare/types.ts';
import { doubtedChannels } from './doubted.ts';
import { BIN_RPM } from './power/index.ts';
import { MIXTURE_SETTLES_S, readingsByPart, standingMaximum, standingMinimum } from './pull-facts.ts';
import type { Finding, ReviewedPull } from './types.ts';

/** A channel, or what is worked out: boost over outside air, crank power, torque. */
export type StatisticName = ReadingName | 'power' | 'torque';

/** SI. Least and most are what three readings in a row reach, as the peaks of the review are. */
export interface ChannelStatistics {
  readonly channel: StatisticName;
  readonly least: number;
  readonly most: number;
  /** Over time in the gears of the pull; shifts are left out. */
  readonly mean: number;
  /** Mean while the engine passed within 125 rpm of the speed of the pull's peak power; null where that is not known. */
  readonly atPeakPower: number | null;
}

export interface PullStatistics {
  readonly channels: readonly ChannelStatistics[];
  /** Findings of the run whose stretch touches the pull. */
  readonly findings: readonly Pick<Finding, 'id' | 'severity'>[];
}

/** Mean over time by trapezoids, each part for itself; a lone reading stands for itself. */
const timeMean = (parts: readonly ChannelSlice[]): number => {
  let area = 0;
  let length = 0;
  for (const { timesS, values } of parts) {
    for (let i = 1; i < values.length; i++) {
      const step = timesS[i]! - timesS[i - 1]!;
      area += step * ((values[i]! + values[i - 1]!) / 2);
      length += step;
    }
  }
  if (length > 0) return area / length;
  const all = parts.flatMap(({ values }) => Array.from(values));
  return all.reduce((sum, value) => sum + value, 0) / all.length;
};

/** Where the engine passes the speed of the pull's peak power: in the gear that made it. */
const peakSpan = (log: Log, pull: ReviewedPull): { startS: number; endS: number } | null => {
  const { powerEngineSpeedRpm } = pull;
  const speed = channelNamed(log, 'engine-speed');
  if (powerEngineSpeedRpm === undefined || !speed) return null;
  const made = pull.curve
    .filter(({ engineSpeedRpm }) => engineSpeedRpm === powerEngineSpeedRpm)
    .reduce<ReviewedPull['curve'][number] | null>(
      (best, point) => (!best || point.powerW.p50 > best.powerW.p50 ? point : best),
      null,
    );
  for (const part of pull.parts) {
    if (made && made.gear !== null && part.gear !== null && part.gear !== made.gear) continue;
    const [slice] = readingsByPart(log, { ...pull, parts: [part] }, 'engine-speed', new Set());
    const times = Array.from(slice?.timesS ?? []).filter(
      (_, i) => Math.abs(slice!.values[i]! - powerEngineSpeedRpm) <= BIN_RPM / 2,
    );
    if (times.length > 0) return { startS: times[0]!, endS: times.at(-1)! };
  }
  return null;
};

const atSpan = (channel: Channel, span: { startS: number; endS: number } | null, parts: readonly ChannelSlice[]) => {
  if (!span) return null;
  const inside = parts.flatMap(({ timesS, values }) =>
    Array.from(values).filter((_, i) => timesS[i]! >= span.startS && timesS[i]! <= span.endS),
  );
  if (inside.length > 0) return inside.reduce((sum, value) => sum + value, 0) / inside.length;
  // A slow channel has no reading in so short a time: what it passes through stands in.
  const [between] = resample(channel, [(span.startS + span.endS) / 2]);
  return between !== undefined && Number.isFinite(between) ? between : null;
};

/** Lambda settles after the pedal goes down and after a shift: its extremes count from then on, as in the review. */
const settles = (name: ChannelName): number => (name === 'lambda' ? MIXTURE_SETTLES_S : 0);

const shifted = (statistics: ChannelStatistics, channel: StatisticName, by: number): ChannelStatistics => ({
  channel,
  least: statistics.least + by,
  most: statistics.most + by,
  mean: statistics.mean + by,
  atPeakPower: statistics.atPeakPower === null ? null : statistics.atPeakPower + by,
});

/** Duty from pulse and engine speed where none is logged: pulse over the time of a cycle, 120 / N. */
const dutyParts = (log: Log, pulses: readonly ChannelSlice[]): ChannelSlice[] => {
  const speed = channelNamed(log, 'engine-speed');
  if (!speed) return [];
  return pulses.map(({ timesS, values }) => {
    const rpm = resample(speed, timesS);
    const known = Array.from(timesS.keys()).filter((i) => Number.isFinite(rpm[i]!));
    return {
      timesS: Float64Array.from(known, (i) => timesS[i]!),
      values: Float64Array.from(known, (i) => (values[i]! * rpm[i]!) / 120),
    };
  });
};

const worked = (pull: ReviewedPull): ChannelStatistics[] => {
  const { curve, powerW, powerEngineSpeedRpm } = pull;
  if (curve.length === 0 || !powerW.combined) return [];
  const of = (channel: 'power' | 'torque', values: readonly number[], peak: number | null): ChannelStatistics => ({
    channel,
    least: Math.min(...values),
    // The review's peak is held against its neighbours; no single bin stands above it here either.
    most: channel === 'power' ? powerW.combined!.p50 : Math.max(...values),
    mean: values.reduce((sum, value) => sum + value, 0) / values.length,
    atPeakPower: peak,
  });
  const torqueAtPeak =
    powerEngineSpeedRpm === undefined ? null : (powerW.combined.p50 * 30) / (Math.PI * powerEngineSpeedRpm);
  return [
    of(
      'power',
      curve.map((point) => point.powerW.p50),
      powerW.combined.p50,
    ),
    of(
      'torque',
      curve.map((point) => point.torqueNm.p50),
      torqueAtPeak,
    ),
  ];
};

/**
 * Statistics of one reviewed pull of a log; channels that the findings prove wrong are left out.
 * Deterministic. Channels without a reading in the pull are absent.
 */
export const pullStatistics = (log: Log, pull: ReviewedPull, findings: readonly Finding[]): PullStatistics => {
  const doubted = doubtedChannels(findings);
  const span = peakSpan(log, pull);
  const channels: ChannelStatistics[] = [];
  const add = (name: StatisticName, channel: Channel, parts: readonly ChannelSlice[]) => {
    const values = parts.flatMap((part) => Array.from(part.values));
    const [least, most] = [standingMinimum(values), standingMaximum(values)];
    if (least === null || most === null) return;
    channels.push({
      channel: name,
      least,
      most: Math.max(least, most),
      mean: timeMean(parts),
      atPeakPower: atSpan(channel, span, parts),
    });
  };
  for (const name of new Set(log.channels.map(({ channel }) => channel))) {
    const channel = channelNamed(log, name);
    if (name === 'time' || !channel) continue;
    add(name, channel, readingsByPart(log, pull, name, doubted, settles(name)));
  }
  const pulse = channelNamed(log, 'injector-pulse');
  if (pulse && !channels.some(({ channel }) => channel === 'injector-duty')) {
    const duty = dutyParts(log, readingsByPart(log, pull, 'injector-pulse', doubted));
    const all = {
      timesS: Float64Array.from(duty.flatMap(({ timesS }) => Array.from(timesS))),
      values: Float64Array.from(duty.flatMap(({ values }) => Array.from(values))),
    };
    add('injector-duty', { ...pulse, ...all }, duty);
  }
  const manifold = channels.find(({ channel }) => channel === 'manifold-pressure');
  if (manifold) channels.push(shifted(manifold, 'boost', -log.barometricPressurePa));
  channels.push(...worked(pull));
  const touching = findings.filter(({ startS, endS }) => startS <= pull.endS && endS >= pull.startS);
  return { channels, findings: touching.map(({ id, severity }) => ({ id, severity })) };
};
