/** Launches: away from standstill under demand until the clutch is home. */
import type { FullStretch } from './demand.ts';
import type { Segment } from './types.ts';

/** Rows of a log on the engine speed's times: what launches are told from. */
export interface LaunchSignals {
  readonly timesS: Float64Array;
  readonly rpm: Float64Array;
  readonly speed: Float64Array | null;
  readonly demand: Float64Array | null;
}

/** Moving from here on [m/s]; rolling sensors count nothing below. */
const MOVES_M_PER_S = 0.6;
/** A launch is over by then whatever the clutch does [s]. */
const LONGEST_S = 6;
const REACHES_M_PER_S = 5;
/** Demand of a launch as against a plain pulling away. */
const HARD = 0.55;
/** The clutch is home within this of the least ratio that first gear comes down to. */
const HOME_WITHIN = 0.05;
/** First gear ends where engine speed over road speed falls under this share of what came before, or the car slows. */
const NEXT_GEAR = 0.87;
const OPEN_FOR_S = 0.35;

/** One past the last reading of first gear from `from` on: until the next gear, a stop, or the longest launch and a bit. */
const firstGearEnd = ({ timesS, rpm, speed }: LaunchSignals, from: number, firstRatio: number | null): number => {
  const v = speed!;
  let least = Number.POSITIVE_INFINITY;
  let i = from;
  for (; i < timesS.length && timesS[i]! - timesS[from]! < LONGEST_S; i++) {
    if (v[i]! < MOVES_M_PER_S) break;
    if (v[i]! < 3) continue;
    const ratio = rpm[i]! / v[i]!;
    if (firstRatio !== null && ratio < NEXT_GEAR * firstRatio) {
      // The clutch was open for the shift already.
      let before = i;
      while (before > from && timesS[i]! - timesS[before]! < OPEN_FOR_S) before--;
      return before;
    }
    // While the clutch slips the ratio falls steadily with speed; a fall at a steady speed is the next gear.
    if (ratio < NEXT_GEAR * least && Number.isFinite(least)) {
      let before = i;
      while (before > from && timesS[i]! - timesS[before]! < 0.3) before--;
      if (v[i]! < 1.06 * v[before]!) return before;
    }
    least = Math.min(least, ratio);
  }
  return i;
};

/** From the moment the foot goes down at standstill to the clutch being home, where demand passed half and the car got going. */
export const launches = (
  signals: LaunchSignals,
  stretches: readonly FullStretch[],
  firstRatio: number | null,
): Segment[] => {
  const { timesS, speed, demand, rpm } = signals;
  if (!speed) return [];
  const out: Segment[] = [];
  for (let i = 1; i < timesS.length; i++) {
    if (!(speed[i - 1]! < MOVES_M_PER_S && speed[i]! >= MOVES_M_PER_S)) continue;
    const to = firstGearEnd(signals, i, firstRatio);
    let least = Number.POSITIVE_INFINITY;
    let fastest = 0;
    let peak = 0;
    for (let k = i; k < to; k++) {
      if (speed[k]! > 3) least = Math.min(least, rpm[k]! / speed[k]!);
      fastest = Math.max(fastest, speed[k]!);
      if (demand) peak = Math.max(peak, demand[k]! || 0);
    }
    const hard = stretches.some(({ startS, endS }) => startS < timesS[to - 1]! && endS > timesS[i]! - 1) || peak > HARD;
    if (!hard || !(fastest > REACHES_M_PER_S)) continue;
    let end = i;
    while (end + 1 < to && !(speed[end]! > 3 && rpm[end]! / speed[end]! < (1 + HOME_WITHIN) * least)) end++;
    // The clutch comes in before the wheel sensor counts: the launch starts where the foot went down.
    let start = i;
    while (start > 0 && timesS[i]! - timesS[start - 1]! < 1 && stillAway(signals, start - 1)) start--;
    out.push({ kind: 'launch', startS: timesS[start]!, endS: timesS[end]!, gear: 1 });
    i = Math.max(i, to - 1);
  }
  return out;
};

const stillAway = ({ demand, rpm }: LaunchSignals, i: number): boolean => (demand ? demand[i]! > 0.3 : rpm[i]! > 1500);
