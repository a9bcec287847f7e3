/** Pulls: full demand under load with the clutch home, joined over full-throttle shifts. */
import {
  bridgeDips,
  carried,
  type Demand,
  driverDemand,
  type FullStretch,
  fullStretches,
  rangeOf,
  trimHalfOpen,
} from './demand.ts';
import { type GearModel, gearsOfParts } from './gears.ts';
import { channelNamed, firstIndexAtOrAfter, medianOf, quantileOf, sliceOf, thinned, valueAt } from './sampling.ts';
import { soundEngineSpeed } from './sound.ts';
import type { Channel, Log, Pull, PullPart } from './types.ts';

/** A part counts from this long and this much gained (common practice, no source). */
const SHORTEST_PART_S = 0.8;
const LEAST_GAIN_RPM = 500;
/** A shift between two parts takes no longer than this, foot off to foot down. */
const LONGEST_SHIFT_S = 1;
/** Engine speed falls at least this much from one gear to the next (closest road gears step 1.12). */
const LEAST_STEP = 0.07;

/** Three-point median of a channel's readings in a span: single spikes gone, edges kept. */
const despiked = (
  channel: Channel,
  startS: number,
  endS: number,
): { readonly timesS: Float64Array; readonly values: Float64Array } => {
  const { timesS, values } = sliceOf(channel, startS, endS);
  const out = Float64Array.from(values);
  for (let i = 1; i + 1 < values.length; i++) {
    const [a, b, c] = [values[i - 1]!, values[i]!, values[i + 1]!];
    out[i] = Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
  }
  return { timesS, values: out };
};

/** A shift inside a stretch of full demand: where engine speed starts to fall and where it is caught. */
interface Shift {
  readonly startS: number;
  readonly endS: number;
}

/**
 * Shifts made with the foot down: engine speed falls by more than {@link LEAST_STEP} within a second while the ratio to
 * road speed steps down for good. A flare of slip that comes back to the old ratio is none.
 */
const flatShifts = (rpm: Channel, model: GearModel, stretch: FullStretch): Shift[] => {
  const { timesS, values } = despiked(rpm, stretch.startS, stretch.endS);
  const lows = lowestAhead(timesS, values, Math.max(LONGEST_SHIFT_S, 2.5 / rpm.rateHz));
  const shifts: Shift[] = [];
  let falls = 0;
  for (let i = 0; i < values.length; i++) {
    const isPeak = (values[i + 1] ?? values[i]!) < values[i]! && values[i]! >= (values[i - 1] ?? 0);
    const low = lows[i]!;
    if (!isPeak || values[low]! >= values[i]! * (1 - LEAST_STEP)) continue;
    if (++falls > MOST_FALLS) break;
    const since = { startS: shifts[shifts.length - 1]?.endS ?? stretch.startS, endS: stretch.endS };
    if (!steppedDown(rpm, model, timesS[i]!, timesS[low]!, since)) continue;
    shifts.push({ startS: timesS[i]!, endS: timesS[low]! });
    i = low;
  }
  return shifts;
};

/** More falls than this in one stretch of full demand are noise, not shifts. */
const MOST_FALLS = 500;

/** For each reading the first of the lowest ones within `spanS` from it on, in time in proportion to their number. */
const lowestAhead = (timesS: Float64Array, values: Float64Array, spanS: number): Int32Array => {
  const size = values.length;
  const out = new Int32Array(size);
  // Readings that may yet be the lowest, rising; `head` to `tail` of them lie in the span.
  const waiting = new Int32Array(size);
  let head = 0;
  let tail = 0;
  let next = 0;
  for (let i = 0; i < size; i++) {
    for (; next < size && (next <= i || timesS[next]! - timesS[i]! <= spanS); next++) {
      while (tail > head && values[waiting[tail - 1]!]! > values[next]!) tail--;
      waiting[tail++] = next;
    }
    while (waiting[head]! < i) head++;
    out[i] = waiting[head]!;
  }
  return out;
};

/** The gear column's reading at or before a time, null before its first. */
const gearAt = (gear: Channel, timeS: number): number | null => {
  const after = firstIndexAtOrAfter(gear.timesS, timeS + 1e-9);
  return after > 0 ? gear.values[after - 1]! : null;
};

const steppedDown = (rpm: Channel, model: GearModel, startS: number, endS: number, stretch: FullStretch): boolean => {
  // The fall that follows the release of a clutch at the start of a stretch belongs to the shift before it.
  if (startS - stretch.startS < 0.35) return false;
  if (model.gear && gearAt(model.gear, startS - 0.2) === gearAt(model.gear, endS + 0.3)) return false;
  if (!model.speed) return true;
  const ratiosIn = (fromS: number, toS: number): number[] => {
    const slice = sliceOf(rpm, fromS, toS);
    const times = thinned(slice.timesS);
    const speeds = carried(model.speed!, times);
    return Array.from(thinned(slice.values), (value, k) => value / Math.max(speeds[k]!, 0.1));
  };
  // The lower side of all that came before: a flare of slip stands above it.
  const before = quantileOf(ratiosIn(stretch.startS + 0.1, startS - 0.05), 0.04);
  const after = medianOf(ratiosIn(endS, endS + Math.max(0.6, 2.5 / rpm.rateHz)));
  return before !== null && after !== null && after < before * (1 - LEAST_STEP);
};

interface Span {
  readonly startS: number;
  readonly endS: number;
}

/** From a standing start the clutch is home when the ratio has come down to within 8 % of what it is at the end of the span. */
const clutchHomeS = (rpm: Channel, model: GearModel, span: Span): number => {
  const { speed } = model;
  if (!speed) return span.startS;
  const startSpeed = valueAt(speed, span.startS, 1.5);
  if (startSpeed === null || startSpeed > 4) return span.startS;
  const slice = sliceOf(rpm, span.startS, span.endS);
  const speeds = carried(speed, slice.timesS);
  const ratioAt = (k: number): number => slice.values[k]! / Math.max(speeds[k]!, 0.1);
  const last: number[] = [];
  for (let k = 0; k < speeds.length; k++)
    if (slice.timesS[k]! > span.endS - 0.5 && speeds[k]! > 2) last.push(ratioAt(k));
  const settled = medianOf(last);
  if (settled === null) return span.startS;
  for (let k = 0; k < speeds.length; k++)
    if (speeds[k]! > 2 && Math.abs(Math.log(ratioAt(k) / settled)) < 0.08) return slice.timesS[k]!;
  return span.endS;
};

const spansOf = (stretch: FullStretch, rpm: Channel, model: GearModel): Span[] => {
  const spans: Span[] = [];
  let startS = stretch.startS;
  for (const shift of flatShifts(rpm, model, stretch)) {
    spans.push({ startS, endS: shift.startS });
    startS = shift.endS;
  }
  spans.push({ startS, endS: stretch.endS });
  return spans
    .map((span) => ({ ...span, startS: clutchHomeS(rpm, model, span) }))
    .filter(({ startS: from, endS }) => endS > from);
};

const rpmNear = (rpm: Channel, timeS: number): number | null => {
  const direct = valueAt(rpm, timeS, 1.5);
  const around = medianOf(sliceOf(rpm, timeS - 0.06, timeS + 0.06).values);
  // A spike on the reading at hand is set right by its neighbours.
  return direct !== null && around !== null && Math.abs(direct / around - 1) > 0.25 ? around : direct;
};

/** Load: the manifold at or near the barometer and above, or boosted where the demand's full reading is in doubt. */
const underLoad = (log: Pick<Log, 'channels' | 'barometricPressurePa'>, demand: Demand, span: Span): boolean => {
  const manifold = channelNamed(log, 'manifold-pressure');
  if (!manifold) return !demand.doubtful;
  const { values } = sliceOf(manifold, span.startS, span.endS);
  const level = quantileOf(values, 0.7);
  // A manifold that shows one number through a pull is stuck and proves nothing.
  if (level === null || values.every((value) => value === values[0])) return !demand.doubtful;
  return level > (demand.doubtful ? 1.25 : 0.88) * log.barometricPressurePa;
};

/** A throttle counts as full when it stands open for a fifth of the span: a foot that feathers a launch does not get it there. */
const reachesFull = (demand: Demand, span: Span): boolean => {
  const [from, to] = rangeOf(demand.channel, span.startS, span.endS);
  const level = quantileOf(demand.share.subarray(from, to), 0.8);
  return level === null || level > 0.93;
};

/** Engine speed once the clutch of a shift has caught it: gain is counted from there. */
const CAUGHT_S = 0.15;

const counts = (rpm: Channel, span: Span): boolean => {
  if (span.endS - span.startS <= SHORTEST_PART_S) return false;
  const [at, caught, to] = [span.startS, span.startS + CAUGHT_S, span.endS].map((timeS) => rpmNear(rpm, timeS));
  if (typeof at !== 'number' || typeof to !== 'number') return false;
  const from = Math.min(at, caught ?? at);
  const middle = medianOf(sliceOf(rpm, span.startS, span.endS).values);
  return middle !== null && middle > 600 && to - from > LEAST_GAIN_RPM;
};

/** Two parts are one pull when a quick upshift is all that lies between them. */
const isShiftBetween = (rpm: Channel, before: Span, after: Span): boolean => {
  if (after.startS - before.endS > LONGEST_SHIFT_S) return false;
  const top = rpmNear(rpm, before.endS);
  const caught = quantileOf(sliceOf(rpm, after.startS, Math.min(after.endS, after.startS + 0.6)).values, 0.1);
  return top !== null && caught !== null && caught < top * (1 - LEAST_STEP);
};

const toPull = (rpm: Channel, model: GearModel, spans: readonly Span[]): Pull => {
  const gears = gearsOfParts(model, rpm, spans);
  const parts: PullPart[] = spans.map(({ startS, endS }, i) => ({ startS, endS, gear: gears[i] ?? null }));
  const [startS, endS] = [spans[0]!.startS, spans[spans.length - 1]!.endS];
  let [low, high] = [Number.POSITIVE_INFINITY, 0];
  for (const { startS: from, endS: to } of spans) {
    for (const value of despiked(rpm, from, to).values) {
      if (value < low) low = value;
      if (value > high) high = value;
    }
  }
  return {
    startS,
    endS,
    gears: orderedGears(parts),
    shiftsS: spans.slice(0, -1).map((span) => span.endS),
    parts,
    minEngineSpeedRpm: low,
    maxEngineSpeedRpm: high,
  };
};

/** Gears of the parts; left out as a whole when one is unknown, so that their count always matches the parts or is zero. */
const orderedGears = (parts: readonly PullPart[]): number[] => {
  const gears = parts.map(({ gear }) => gear);
  return gears.every((gear): gear is number => gear !== null) ? gears : [];
};

export interface FoundPulls {
  readonly pulls: Pull[];
  readonly demand: Demand | null;
  /** All stretches of full demand, pulls or not. */
  readonly stretches: readonly FullStretch[];
}

/**
 * Pulls of a log. A part is full demand (pedal over 96 % of its own travel, or throttle where there is no pedal) longer
 * than 0.8 s that gains more than 500 rpm under load with the clutch home; parts follow one another into one pull over
 * upshifts of at most a second.
 */
export const findPulls = (log: Pick<Log, 'channels' | 'barometricPressurePa'>, model: GearModel): FoundPulls => {
  const logged = channelNamed(log, 'engine-speed');
  const demand = driverDemand(log);
  const rpm = logged ? soundEngineSpeed(logged) : null;
  if (!rpm || !demand) return { pulls: [], stretches: [], demand };
  const throttle = demand.channel.channel === 'pedal' ? channelNamed(log, 'throttle') : null;
  const manifold = channelNamed(log, 'manifold-pressure');
  const bridged = bridgeDips(fullStretches(demand), { rpm, manifold, throttle });
  const isThrottle = demand.channel.channel === 'throttle';
  const stretches = isThrottle ? trimHalfOpen(demand, bridged, manifold, log.barometricPressurePa) : bridged;
  const pulls: Pull[] = [];
  let open: Span[] = [];
  const finish = (): void => {
    if (open.length > 0) pulls.push(toPull(rpm, model, open));
    open = [];
  };
  for (const stretch of stretches) {
    for (const span of spansOf(stretch, rpm, model)) {
      if (!counts(rpm, span) || !reachesFull(demand, span) || !underLoad(log, demand, span)) continue;
      const last = open[open.length - 1];
      if (last && !isShiftBetween(rpm, last, span)) finish();
      open.push(span);
    }
  }
  finish();
  return { pulls, stretches, demand };
};
