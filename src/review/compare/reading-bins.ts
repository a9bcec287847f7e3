/** Means of every channel of a pull by gear and engine speed, each with its standard error. */
import {
  type Channel,
  type ChannelName,
  channelNamed,
  type Log,
  type Pull,
  resample,
  sliceOf,
} from '../../logs/index.ts';
import { withoutWrongReadings } from '../findings/readings.ts';
import { BIN_RPM } from '../power/index.ts';
import type { BasisReading, BasisReadings, ReadingName } from './types.ts';

/** Throttle, mixture and boost settle for this long after the pedal goes down and after a shift [s]. */
const SETTLE_S = 0.4;
const STEP_S = 0.03;
/** Room either side of a stretch so that cleaning and drawing between readings have neighbours [s]. */
const ROOM_S = 2;
const LONGEST_HOLE_S = 0.5;
/** A bin needs this many points of the grid. */
const LEAST_POINTS = 2;

/** States and counts: their mean over a bin says nothing. */
const NOT_A_LEVEL: ReadonlySet<ChannelName> = new Set([
  'time',
  'gear',
  'clutch-switch',
  'knock-count',
  'misfire-count',
  'altitude',
]);

const near = (log: Log, name: ChannelName, startS: number, endS: number): Channel | null => {
  const found = channelNamed(log, name);
  return found && withoutWrongReadings({ ...found, ...sliceOf(found, startS - ROOM_S, endS + ROOM_S) });
};

/** Scatter of readings about their own straight line in time; nought with fewer than four. */
const scatter = (timesS: readonly number[], values: readonly number[]): number => {
  const size = timesS.length;
  if (size < 4) return 0;
  const meanT = timesS.reduce((sum, t) => sum + t, 0) / size;
  const meanV = values.reduce((sum, v) => sum + v, 0) / size;
  let across = 0;
  let along = 0;
  timesS.forEach((t, i) => {
    across += (t - meanT) * (values[i]! - meanV);
    along += (t - meanT) ** 2;
  });
  const slope = along > 0 ? across / along : 0;
  const squares = timesS.reduce((sum, t, i) => sum + (values[i]! - meanV - slope * (t - meanT)) ** 2, 0);
  return Math.sqrt(squares / (size - 2));
};

/** Mean over the grid points of a bin; its error from the readings that lie in the bin's time, at least one rounding step. */
const binReading = (channel: Channel, values: Float64Array, inside: readonly number[], timesS: Float64Array) => {
  const kept = inside.filter((i) => Number.isFinite(values[i]!));
  if (kept.length < LEAST_POINTS || kept.length < inside.length / 2) return null;
  const mean = kept.reduce((sum, i) => sum + values[i]!, 0) / kept.length;
  const own = sliceOf(channel, timesS[inside[0]!]! - STEP_S / 2, timesS[inside.at(-1)!]! + STEP_S / 2);
  const noise = scatter(Array.from(own.timesS), Array.from(own.values));
  const sd = Math.hypot(noise, channel.resolution / Math.sqrt(12)) / Math.sqrt(Math.max(1, own.values.length));
  return { mean, sd };
};

/** Duty from the pulse where no duty is logged: pulse over the time of a cycle, 120 / N (four-stroke, one pulse a cycle). */
const dutyFromPulse = (pulse: BasisReading, meanRpm: number): BasisReading => ({
  mean: (pulse.mean * meanRpm) / 120,
  sd: (pulse.sd * meanRpm) / 120,
});

/**
 * Means of the readings of a pull in bins of 250 rpm, a row per gear and bin, SI; `boost` is manifold pressure over the
 * log's barometer. Channels in `doubted` are left out. Where a gear passes the same speed twice the first passing counts.
 */
export const readingBins = (log: Log, pull: Pull, doubted: ReadonlySet<ChannelName>): BasisReadings[] => {
  const rows: BasisReadings[] = [];
  const names = [...new Set(log.channels.map(({ channel }) => channel))].filter(
    (name) => !NOT_A_LEVEL.has(name) && !doubted.has(name),
  );
  for (const part of pull.parts) {
    const startS = part.startS + SETTLE_S;
    const size = Math.floor((part.endS - startS) / STEP_S) + 1;
    const speed = near(log, 'engine-speed', startS, part.endS);
    if (!speed || size < LEAST_POINTS) continue;
    const timesS = Float64Array.from({ length: size }, (_, i) => startS + i * STEP_S);
    const rpm = resample(speed, timesS);
    const places = new Map<number, number[]>();
    rpm.forEach((value, i) => {
      if (!Number.isFinite(value)) return;
      const centre = Math.round(value / BIN_RPM) * BIN_RPM;
      const inside = places.get(centre);
      if (inside) inside.push(i);
      else places.set(centre, [i]);
    });
    const byName = names.flatMap((name) => {
      const channel = near(log, name, startS, part.endS);
      if (!channel || channel.timesS.length === 0) return [];
      const hole = Math.max(LONGEST_HOLE_S, 3 / Math.max(channel.rateHz, 1e-3));
      return [{ name, channel, values: resample(channel, timesS, hole) }];
    });
    for (const [engineSpeedRpm, inside] of [...places].sort((a, b) => a[0] - b[0])) {
      if (rows.some((row) => row.gear === part.gear && row.engineSpeedRpm === engineSpeedRpm)) continue;
      const values: Partial<Record<ReadingName, BasisReading>> = {};
      for (const one of byName) {
        const reading = binReading(one.channel, one.values, inside, timesS);
        if (reading && one.name !== 'time') values[one.name] = reading;
      }
      const { 'manifold-pressure': manifold, 'injector-pulse': pulse } = values;
      if (manifold) values.boost = { mean: manifold.mean - log.barometricPressurePa, sd: manifold.sd };
      const meanRpm = inside.reduce((sum, i) => sum + rpm[i]!, 0) / inside.length;
      if (pulse && !values['injector-duty']) values['injector-duty'] = dutyFromPulse(pulse, meanRpm);
      rows.push({ gear: part.gear, engineSpeedRpm, values });
    }
  }
  return rows;
};
