/** Readings that are not the car's: lone ones far from their neighbours, and short bursts that stand at one wrong value. */
import { type Channel, type ChannelName, medianOf, quantileOf } from '../../logs/index.ts';

/** How much a reading must differ from both neighbours, in robust standard deviations of such differences, to be a spike. */
const SPIKE_SIGMAS = 12;

/** And in middle differences of the readings around it: sensors are noisier where they read more. */
const SPIKE_LOCAL = 8;
const LOCAL_READINGS = 15;

/** Indexes of readings that stand alone: far from both neighbours while these agree. None for quantities without a {@link SPIKE_SCALE}. */
export const lonelyReadings = (channel: Channel): number[] => {
  const { values, timesS } = channel;
  const scale = SPIKE_SCALE[channel.channel];
  const size = values.length;
  if (!scale || size < 12 || channel.rateHz < scale.slowestHz) return [];
  const offAt = (i: number): number => Math.abs(values[i]! - (values[i - 1]! + values[i + 1]!) / 2);
  // Without one jump that could count nothing more is asked of a channel.
  let jumps = false;
  for (let i = 2; i < size - 2 && !jumps; i++) jumps = offAt(i) >= scale.leastJump;
  if (!jumps) return [];
  const off = new Float64Array(size - 2);
  for (let i = 1; i < size - 1; i++) off[i - 1] = offAt(i);
  const sigma = 1.4826 * (medianOf(off) ?? 0);
  const limit = Math.max(scale.leastJump, SPIKE_SIGMAS * sigma);
  const hole = 4 / Math.max(channel.rateHz, 1e-6);
  const found: number[] = [];
  for (let i = 2; i < size - 2; i++) {
    if (off[i - 1]! < limit) continue;
    // Neighbours on each side must agree among themselves and across: a step or a swing is no spike.
    const calm = Math.max(
      Math.abs(values[i - 1]! - values[i + 1]!),
      Math.abs(values[i - 2]! - values[i - 1]!),
      Math.abs(values[i + 2]! - values[i + 1]!),
    );
    if (!(calm < 0.35 * off[i - 1]! && timesS[i + 1]! - timesS[i - 1]! < hole)) continue;
    const around = off.subarray(Math.max(0, i - 1 - LOCAL_READINGS), i + LOCAL_READINGS);
    if (off[i - 1]! > SPIKE_LOCAL * (medianOf(around) ?? 0)) found.push(i);
  }
  return found;
};

interface SpikeScale {
  /** Least jump that counts, SI: well over what the quantity does between two readings. */
  readonly leastJump: number;
  /** Slowest logging [Hz] at which a lone reading is no real event: a blip of the throttle lasts a fifth of a second, a car does not change speed in one. */
  readonly slowestHz: number;
}

/** Quantities in which lone readings are looked for. */
export const SPIKE_SCALE: Partial<Record<ChannelName, SpikeScale>> = {
  'engine-speed': { leastJump: 300, slowestHz: 9 },
  'vehicle-speed': { leastJump: 2.5, slowestHz: 2 },
  'wheel-speed-driven': { leastJump: 2.5, slowestHz: 4 },
  'wheel-speed-undriven': { leastJump: 2.5, slowestHz: 4 },
  'satellite-speed': { leastJump: 2.5, slowestHz: 2 },
  'manifold-pressure': { leastJump: 9e3, slowestHz: 9 },
  'compressor-outlet-pressure': { leastJump: 15e3, slowestHz: 9 },
  'exhaust-pressure': { leastJump: 25e3, slowestHz: 9 },
  'charge-temperature': { leastJump: 6, slowestHz: 0.5 },
  'intake-temperature': { leastJump: 6, slowestHz: 0.5 },
  'coolant-temperature': { leastJump: 6, slowestHz: 0.2 },
  'oil-temperature': { leastJump: 6, slowestHz: 0.2 },
  'compressor-outlet-temperature': { leastJump: 12, slowestHz: 2 },
  'exhaust-temperature': { leastJump: 30, slowestHz: 2 },
  'oil-pressure': { leastJump: 80e3, slowestHz: 9 },
  'fuel-pressure': { leastJump: 60e3, slowestHz: 9 },
  lambda: { leastJump: 0.1, slowestHz: 9 },
  'air-flow': { leastJump: 0.01, slowestHz: 9 },
  'battery-voltage': { leastJump: 1.2, slowestHz: 2 },
  'shaft-speed': { leastJump: 15000, slowestHz: 9 },
  throttle: { leastJump: 0.15, slowestHz: 18 },
  pedal: { leastJump: 0.15, slowestHz: 18 },
};

/** A burst that stands at one value: indexes of its readings, first to last, with its times [s]. */
export interface FlatBurst {
  readonly first: number;
  readonly last: number;
  readonly startS: number;
  readonly endS: number;
}

/** A signal lost for longer is a sensor that is off, or truly standing. */
const BURST_LONGEST_S = 5;
/** Steeper than a lone reading has to be: both edges must be. */
const EDGE_FACTOR = 1.5;
/** It must come back to about where it left: within this share of the jump. */
const BACK_SHARE = 0.45;
/** Equal readings that make a burst. */
const LEAST_EQUAL = 2;
/** Pressures and flows truly dip at a shift, but not to the same digit so many times. */
const DIPS_AT_SHIFTS: ReadonlySet<ChannelName> = new Set([
  'manifold-pressure',
  'compressor-outlet-pressure',
  'exhaust-pressure',
  'air-flow',
]);
const LEAST_EQUAL_AT_SHIFTS = 3;
/** The driver does jump these to the same stop and back: only a reading under their own stop is a lost signal. */
const UNDER_STOP = 0.02;
const DRIVEN: ReadonlySet<ChannelName> = new Set(['throttle', 'pedal']);

const SLOW_HZ = 4;

/** Bursts of equal readings entered and left by a jump that the quantity cannot make. */
export const flatBursts = (channel: Channel): FlatBurst[] => {
  const scale = SPIKE_SCALE[channel.channel];
  const { values, timesS } = channel;
  if (!scale || values.length < 20 || channel.rateHz < scale.slowestHz) return [];
  const stop = DRIVEN.has(channel.channel) ? (quantileOf(values, 0.05) ?? 0) - UNDER_STOP : Number.POSITIVE_INFINITY;
  const jump = EDGE_FACTOR * scale.leastJump;
  const least = DIPS_AT_SHIFTS.has(channel.channel) ? LEAST_EQUAL_AT_SHIFTS : LEAST_EQUAL;
  const top = values.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
  const bursts: FlatBurst[] = [];
  for (let i = 1; i < values.length; i++) {
    const before = values[i - 1]!;
    const here = values[i]!;
    if (Math.abs(here - before) < jump) continue;
    let last = i;
    while (last + 1 < values.length && values[last + 1] === here) last++;
    const after = values[last + 1];
    const into = here - before;
    // Lambda goes to the end of its range and back with every fuel cut: only falls are a lost signal there.
    const cut = channel.channel === 'lambda' && here > 0.9 * top;
    if (
      after !== undefined &&
      !cut &&
      here < stop &&
      last - i + 1 >= least &&
      timesS[last]! - timesS[i]! <= BURST_LONGEST_S &&
      Math.abs(after - here) >= jump &&
      Math.abs(after - before) <= BACK_SHARE * Math.abs(into)
    ) {
      bursts.push({ first: i, last, startS: timesS[i]!, endS: timesS[last]! });
      i = last;
    }
  }
  if (channel.rateHz >= SLOW_HZ) return bursts;
  // Few readings a second: a burst is two of them. Only falling to the same value again gives it away.
  const timesSeen = (value: number) => bursts.filter((burst) => values[burst.first] === value).length;
  return bursts.filter((burst) => timesSeen(values[burst.first]!) > 1);
};

const without = (channel: Channel, drop: Set<number>): Channel => {
  for (const { first, last } of flatBursts(channel)) for (let i = first; i <= last; i++) drop.add(i);
  if (drop.size === 0) return channel;
  return {
    ...channel,
    timesS: channel.timesS.filter((_, i) => !drop.has(i)),
    values: channel.values.filter((_, i) => !drop.has(i)),
  };
};

/** The channel without lone readings and flat bursts; itself when it has none. */
export const withoutWrongReadings = (channel: Channel): Channel => without(channel, new Set(lonelyReadings(channel)));

/** The channel without flat bursts only, for rules that look at lone readings themselves. */
export const withoutFlatBursts = (channel: Channel): Channel => without(channel, new Set());
