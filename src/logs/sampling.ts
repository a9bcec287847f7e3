/** Reading channels at a time: what the rest of the house uses to look into a log. */
import type { Channel, ChannelName, Log } from './types.ts';

/** Channels that hold a state or a count: between two readings the earlier one stands, nothing is drawn between them. */
const STEPPED: ReadonlySet<ChannelName> = new Set(['gear', 'clutch-switch', 'knock-count', 'misfire-count']);

/** A stretch of a channel; the arrays are views into the channel, not copies. */
export interface ChannelSlice {
  readonly timesS: Float64Array;
  readonly values: Float64Array;
}

/** Index of the first time that is >= `timeS` in ascending `timesS`; its length when there is none. */
export const firstIndexAtOrAfter = (timesS: ArrayLike<number>, timeS: number): number => {
  let low = 0;
  let high = timesS.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (timesS[middle]! < timeS) low = middle + 1;
    else high = middle;
  }
  return low;
};

/** The surest channel of a name, or null. `name` is one of the channel names, the result has its readings in clock order. */
export const channelNamed = (log: Pick<Log, 'channels'>, name: ChannelName): Channel | null => {
  let best: Channel | null = null;
  for (const channel of log.channels) {
    if (channel.channel === name && (!best || channel.confidence > best.confidence)) best = channel;
  }
  return best;
};

/** All channels of a name, surest first. */
export const channelsNamed = (log: Pick<Log, 'channels'>, name: ChannelName): Channel[] =>
  log.channels.filter((channel) => channel.channel === name).sort((a, b) => b.confidence - a.confidence);

/** The longest hole [s] that is bridged: three periods of the channel, never under a quarter of a second. */
const holeLimitS = (channel: Channel): number => (channel.rateHz > 0 ? Math.max(0.25, 3 / channel.rateHz) : 0.25);

const between = (channel: Channel, after: number, timeS: number, limitS: number): number => {
  const { timesS, values } = channel;
  const size = timesS.length;
  if (size === 0) return Number.NaN;
  if (after < size && timesS[after] === timeS) return values[after]!;
  if (after === 0) return timesS[0]! - timeS <= limitS / 3 ? values[0]! : Number.NaN;
  const startS = timesS[after - 1]!;
  if (after === size) return timeS - startS <= limitS / 3 ? values[size - 1]! : Number.NaN;
  const endS = timesS[after]!;
  if (endS - startS > limitS) return Number.NaN;
  if (STEPPED.has(channel.channel)) return values[after - 1]!;
  const share = (timeS - startS) / (endS - startS);
  return values[after - 1]! * (1 - share) + values[after]! * share;
};

/**
 * Value of a channel at `timeS` [s, log's clock], SI: linear between the two readings around it, the earlier one for
 * states and counts; within a third of the longest bridged hole beyond the ends, the end's reading.
 * Null where the channel has no reading near (a hole longer than `longestHoleS`, default three of its periods or
 * 0.25 s, or outside the log).
 */
export const valueAt = (channel: Channel, timeS: number, longestHoleS?: number): number | null => {
  const after = firstIndexAtOrAfter(channel.timesS, timeS);
  const value = between(channel, after, timeS, longestHoleS ?? holeLimitS(channel));
  return Number.isNaN(value) ? null : value;
};

/**
 * A channel at each of `timesS` [s, ascending], by the rule of {@link valueAt}; NaN marks 'no reading near' so that the
 * array stays typed. Takes time in proportion to both lengths.
 */
export const resample = (channel: Channel, timesS: ArrayLike<number>, longestHoleS?: number): Float64Array => {
  const out = new Float64Array(timesS.length);
  const limitS = longestHoleS ?? holeLimitS(channel);
  const { timesS: readS, values } = channel;
  const isStepped = STEPPED.has(channel.channel);
  const size = readS.length;
  let after = timesS.length > 0 ? firstIndexAtOrAfter(readS, timesS[0]!) : 0;
  for (let i = 0; i < timesS.length; i++) {
    const timeS = timesS[i]!;
    while (after < size && readS[after]! < timeS) after++;
    if (isStepped || after === 0 || after >= size) {
      out[i] = between(channel, after, timeS, limitS);
      continue;
    }
    // The rule of `between` for the usual case, without a call for each of millions of readings.
    const startS = readS[after - 1]!;
    const endS = readS[after]!;
    if (endS === timeS) out[i] = values[after]!;
    else if (endS - startS > limitS) out[i] = Number.NaN;
    else {
      const share = (timeS - startS) / (endS - startS);
      out[i] = values[after - 1]! * (1 - share) + values[after]! * share;
    }
  }
  return out;
};

/** The readings with startS <= time <= endS [s], as views. */
export const sliceOf = (channel: Channel, startS: number, endS: number): ChannelSlice => {
  const { timesS, values } = channel;
  const from = firstIndexAtOrAfter(timesS, startS);
  let to = firstIndexAtOrAfter(timesS, endS);
  while (to < timesS.length && timesS[to] === endS) to++;
  return { timesS: timesS.subarray(from, Math.max(from, to)), values: values.subarray(from, Math.max(from, to)) };
};

/** Middle value of finite numbers (mean of the middle two when their count is even), or null when there are none. */
export const medianOf = (values: ArrayLike<number>): number | null => quantileOf(values, 0.5);

/**
 * Puts the `k`-th smallest of `room[0..size)` in its place, smaller ones before it, in linear time on average.
 * Source: Hoare, Communications of the ACM 4 (1961) 321, with the middle of three as pivot.
 */
const selectInPlace = (room: Float64Array, size: number, k: number): number => {
  let left = 0;
  let right = size - 1;
  while (right > left) {
    const middle = (left + right) >> 1;
    const [a, b, c] = [room[left]!, room[middle]!, room[right]!];
    const pivot = a < b ? (b < c ? b : Math.max(a, c)) : a < c ? a : Math.max(b, c);
    let i = left;
    let j = right;
    while (i <= j) {
      while (room[i]! < pivot) i++;
      while (room[j]! > pivot) j--;
      if (i <= j) {
        const held = room[i]!;
        room[i] = room[j]!;
        room[j] = held;
        i++;
        j--;
      }
    }
    if (k <= j) right = j;
    else if (k >= i) left = i;
    else break;
  }
  return room[k]!;
};

/** Room in which quantiles are looked for, kept and grown: most are asked of columns of one length, hundreds of times. */
let selecting = new Float64Array(0);
/** Longer room than this is given back. */
const MOST_KEPT = 1 << 18;

const roomFor = (size: number): Float64Array => {
  if (size > MOST_KEPT) return new Float64Array(size);
  if (selecting.length < size) selecting = new Float64Array(size);
  return selecting;
};

/** Quantile 0..1 of the finite numbers in `values`, linear between order statistics, or null when there are none. */
export const quantileOf = (values: ArrayLike<number>, share: number): number | null => {
  const room = roomFor(values.length);
  let size = 0;
  for (let i = 0; i < values.length; i++) {
    const value = values[i]!;
    if (Number.isFinite(value)) room[size++] = value;
  }
  if (size === 0) return null;
  const place = Math.min(Math.max(share, 0), 1) * (size - 1);
  const below = Math.floor(place);
  const low = selectInPlace(room, size, below);
  if (place === below) return low;
  // Everything after the selected one is at least as large: the next order statistic is the least of them.
  let next = room[below + 1]!;
  for (let i = below + 2; i < size; i++) if (room[i]! < next) next = room[i]!;
  return low + (next - low) * (place - below);
};

/** Every n-th value so that about `most` are left: enough for a quantile of a long channel. */
export const thinned = (values: Float64Array, most = 8000): Float64Array => {
  const stride = Math.ceil(values.length / most);
  if (stride <= 1) return values;
  const out = new Float64Array(Math.ceil(values.length / stride));
  for (let i = 0; i < out.length; i++) out[i] = values[i * stride]!;
  return out;
};
