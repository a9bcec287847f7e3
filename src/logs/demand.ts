/** What the driver asks for: the pedal (or, failing it, the throttle) over its own closed and full readings, and the stretches held at full. */
import { channelNamed, channelsNamed, firstIndexAtOrAfter, medianOf, resample, sliceOf } from './sampling.ts';
import type { Channel, Log } from './types.ts';

export interface Demand {
  readonly channel: Channel;
  /** Written-as-share readings of the closed and the full pedal. */
  readonly closed: number;
  readonly full: number;
  /** Demand 0..1 at the channel's own times. */
  readonly share: Float64Array;
  /** Share at which a stretch begins and under which it ends, and the one whose crossing dates its edges. */
  readonly enter: number;
  readonly leave: number;
  readonly edge: number;
  /** The full reading is under nine tenths and the closed one does not explain it: only boost proves full load. */
  readonly doubtful: boolean;
}

/** A stretch of full demand. */
export interface FullStretch {
  readonly startS: number;
  readonly endS: number;
}

/** Longest hole in the log [s] that a stretch is carried over. */
export const LONGEST_BRIDGE_S = 1.5;

const BINS = 120;

/** Centres of the highest and the lowest reading that is held: a few readings and half a second in all within three hundredths. */
const heldEnds = (channel: Channel, rpm: Channel | null): { readonly low: number; readonly high: number } | null => {
  // With the engine off some control units report other numbers; only the running engine's count.
  const engine = rpm ? carried(rpm, channel.timesS) : null;
  const values = engine ? channel.values.filter((_, i) => !(engine[i]! < 400)) : channel.values;
  const counts = new Float64Array(BINS + 1);
  for (const value of values) counts[Math.min(BINS, Math.max(0, Math.round(value * 100)))]!++;
  const enough = Math.max(3, Math.min(25, 0.5 * channel.rateHz));
  const around = (bin: number): number => (counts[bin - 1] ?? 0) + counts[bin]! + (counts[bin + 1] ?? 0);
  let high = BINS;
  while (high > 0 && around(high) < enough) high--;
  let low = 0;
  while (low < BINS && around(low) < enough) low++;
  if (high <= low) return null;
  const middle = (bin: number): number =>
    medianOf(values.filter((value) => Math.abs(value * 100 - bin) <= 1.6)) ?? bin / 100;
  // The held band's own centre: the densest bin within twelve hundredths of the end (a kick-down beyond full is fuller than full).
  const densest = (from: number, to: number): number => {
    let best = from;
    for (let bin = from; bin <= to; bin++) if ((counts[bin] ?? 0) > counts[best]!) best = bin;
    return best;
  };
  return { low: middle(densest(low, low + 1)), high: middle(densest(Math.max(high - 12, 0), high)) };
};

const demandOf = (channel: Channel, rpm: Channel | null): Demand | null => {
  const ends = heldEnds(channel, rpm);
  if (!ends) return null;
  const { low: closed, high: full } = ends;
  const isPedal = channel.channel === 'pedal';
  // A diesel's air flap stands open nearly always and tells nothing; a pedal that was never far down neither.
  if (full - closed < 0.25 || closed > 0.5 || full < 0.55) return null;
  const share = channel.values.map((value) => (value - closed) / (full - closed));
  const doubtful = full < 0.9 && closed < 0.08;
  if (doubtful && full < 0.82) return null;
  return isPedal
    ? { channel, closed, full, share, enter: 0.96, leave: 0.92, edge: 0.96, doubtful }
    : { channel, closed, full, share, enter: 0.88, leave: 0.33, edge: 0.6, doubtful };
};

/**
 * A pedal is stuck when one of its readings stands for two seconds and more while the throttle is nearly shut for half a
 * second of them and wide open for another half: no control unit does that on a still foot.
 */
const isStuck = (pedal: Channel, throttle: Demand | null, manifold: Channel | null, barometerPa: number): boolean => {
  if (!throttle) return false;
  const pressures = manifold ? carried(manifold, throttle.channel.timesS) : null;
  const { timesS, values } = pedal;
  const period = 1 / Math.max(throttle.channel.rateHz, 0.1);
  let from = 0;
  for (let i = 1; i <= values.length; i++) {
    if (i < values.length && values[i] === values[from]) continue;
    // The throttle may lag the foot at the start of a run.
    const startS = timesS[from]! + 0.4;
    const endS = timesS[i - 1]!;
    from = i;
    if (endS - startS < 2) continue;
    const [first, after] = rangeOf(throttle.channel, startS, endS);
    let [shut, open] = [0, 0];
    for (let k = first; k < after; k++) {
      const pressurePa = pressures?.[k];
      if (throttle.share[k]! < 0.25 && (pressurePa === undefined || pressurePa < 0.75 * barometerPa)) shut++;
      else if (throttle.share[k]! > 0.85 && (pressurePa === undefined || pressurePa > 1.1 * barometerPa)) open++;
    }
    const enough = Math.max(4, 0.5 / period);
    if (shut >= enough && open >= enough) return true;
  }
  return false;
};

/** The driver's demand, or null when the log has neither a pedal nor a throttle that was ever fully open. */
export const driverDemand = (
  log: Pick<Log, 'channels'> & Partial<Pick<Log, 'barometricPressurePa'>>,
): Demand | null => {
  const manifold = channelNamed(log, 'manifold-pressure');
  const barometerPa = log.barometricPressurePa ?? 101_325;
  const rpm = channelNamed(log, 'engine-speed');
  const throttle = channelsNamed(log, 'throttle')
    .map((channel) => demandOf(channel, rpm))
    .find((demand) => demand !== null);
  for (const pedal of channelsNamed(log, 'pedal')) {
    if (isStuck(pedal, throttle ?? null, manifold, barometerPa)) continue;
    const demand = demandOf(pedal, rpm);
    if (demand) return demand;
    // A live pedal that was never at full means there was no full throttle, whatever the throttle shows.
    const ends = heldEnds(pedal, rpm);
    if (ends && ends.high - ends.low > 0.03) return null;
  }
  return throttle ?? null;
};

/** When the share passed `level` between the readings before and at `after`. */
const crossing = (demand: Demand, after: number, level: number, usualS: number): number => {
  const { timesS } = demand.channel;
  const [a, b] = [demand.share[after - 1]!, demand.share[after]!];
  const [ta, tb] = [timesS[after - 1]!, timesS[after]!];
  if (tb - ta > 3 * usualS || a === b) return a >= level ? ta : tb;
  return ta + (tb - ta) * Math.min(1, Math.max(0, (level - a) / (b - a)));
};

/** A foot goes down or comes off within this [s]; a slower change is dated by the level that began or ended the stretch. */
const FOOT_S = 0.4;

/** Stretches of full demand, edges dated between readings; a hole in the log longer than {@link LONGEST_BRIDGE_S} ends one. */
export const fullStretches = (demand: Demand): FullStretch[] => {
  const { channel, share, enter, leave, edge } = demand;
  const { timesS } = channel;
  const usualS = channel.rateHz > 0 ? 1 / channel.rateHz : 1;
  const holeS = Math.max(LONGEST_BRIDGE_S, 3 * usualS);
  const footS = Math.max(FOOT_S, 2.5 * usualS);
  const stretches: FullStretch[] = [];
  let startS: number | null = null;
  const close = (endS: number): void => {
    if (startS !== null && endS > startS) stretches.push({ startS, endS });
    startS = null;
  };
  for (let i = 0; i < share.length; i++) {
    if (startS !== null && timesS[i]! - timesS[i - 1]! > holeS) close(timesS[i - 1]!);
    if (startS === null) {
      if (share[i]! < enter) continue;
      if (i === 0 || timesS[i]! - timesS[i - 1]! > holeS) {
        startS = timesS[i]!;
        continue;
      }
      // Walk back to where the edge was crossed on the way up.
      let first = i;
      while (first > 0 && share[first - 1]! >= edge && timesS[i]! - timesS[first - 1]! <= footS) first--;
      const wentDown = first > 0 && share[first - 1]! < edge;
      startS = wentDown ? crossing(demand, first, edge, usualS) : crossing(demand, i, enter, usualS);
    } else if (share[i]! < leave) {
      let first = i;
      while (first > 1 && share[first - 1]! < edge && timesS[i]! - timesS[first - 1]! <= footS) first--;
      const cameOff = share[first - 1]! >= edge;
      close(Math.max(startS, cameOff ? crossing(demand, first, edge, usualS) : crossing(demand, i, leave, usualS)));
    }
  }
  if (startS !== null && share.length > 0) close(timesS[timesS.length - 1]!);
  return stretches;
};

/**
 * A throttle that lingers half open at the end of a stretch is a foot half off, unless boost shows that the engine was
 * still asked for everything (a control unit closing the throttle on the driver).
 */
export const trimHalfOpen = (
  demand: Demand,
  stretches: readonly FullStretch[],
  manifold: Channel | null,
  barometerPa: number,
): FullStretch[] =>
  stretches.map((stretch) => {
    const [from, to] = rangeOf(demand.channel, stretch.startS, stretch.endS);
    let last = to - 1;
    while (last > from && demand.share[last]! < demand.edge) last--;
    const lastS = demand.channel.timesS[last] ?? stretch.endS;
    if (stretch.endS - lastS < FOOT_S || !manifold) return stretch;
    const level = medianOf(sliceOf(manifold, lastS + 0.2, stretch.endS).values);
    return level !== null && level < 1.2 * barometerPa ? { startS: stretch.startS, endS: lastS } : stretch;
  });

/** Everything that tells whether the engine kept pulling while the demand's reading dipped. */
export interface PullEvidence {
  readonly rpm: Channel;
  readonly manifold: Channel | null;
  readonly throttle: Channel | null;
}

/**
 * Joins stretches over dips in which the engine kept pulling: up to 1.2 s long, engine speed not falling, and manifold
 * pressure (or the throttle) staying up. Such a dip is a sensor's, not a foot's.
 */
export const bridgeDips = (stretches: readonly FullStretch[], evidence: PullEvidence): FullStretch[] => {
  const out: FullStretch[] = [];
  for (const stretch of stretches) {
    const last = out[out.length - 1];
    if (last && stretch.startS - last.endS <= 1.2 && keptPulling(last.endS, stretch.startS, evidence)) {
      out[out.length - 1] = { startS: last.startS, endS: stretch.endS };
    } else out.push(stretch);
  }
  return out;
};

const lowestIn = (channel: Channel, startS: number, endS: number): number | null => {
  const { values } = sliceOf(channel, startS, endS);
  let lowest: number | null = null;
  for (const value of values) if (lowest === null || value < lowest) lowest = value;
  return lowest;
};

const keptPulling = (startS: number, endS: number, { rpm, manifold, throttle }: PullEvidence): boolean => {
  const [before, after] = [
    medianOf(sliceOf(rpm, startS - 0.3, startS).values),
    medianOf(sliceOf(rpm, endS, endS + 0.3).values),
  ];
  if (before === null || after === null || after < before * 0.99) return false;
  const proofs: boolean[] = [];
  // The air takes a tenth of a second to follow a foot; a shorter dip proves itself by the throttle alone.
  if (manifold) {
    const level = medianOf(sliceOf(manifold, startS - 0.4, startS).values);
    const low = lowestIn(manifold, startS, endS + 0.15);
    if (level !== null && low !== null) proofs.push(low > 0.85 * level);
  }
  if (throttle) {
    const low = lowestIn(throttle, startS, endS + 0.1);
    if (low !== null) proofs.push(low > 0.6);
  }
  return proofs.length > 0 && proofs.every((proof) => proof);
};

/** Index range [from, to) of a channel's readings within a span. */
export const rangeOf = (channel: Channel, startS: number, endS: number): readonly [number, number] => [
  firstIndexAtOrAfter(channel.timesS, startS),
  firstIndexAtOrAfter(channel.timesS, endS),
];

/** A channel on given times with holes up to {@link LONGEST_BRIDGE_S} carried over. */
export const carried = (channel: Channel, timesS: ArrayLike<number>): Float64Array =>
  resample(channel, timesS, Math.max(LONGEST_BRIDGE_S, channel.rateHz > 0 ? 3 / channel.rateHz : 0));
