/** The gear of every moment: engine and wheels turn locked together at a ratio that is a gear's. */
import { carried } from './demand.ts';
import { type GearModel, steadyRatios } from './gears.ts';
import { firstIndexAtOrAfter } from './sampling.ts';
import type { Channel, PullPart } from './types.ts';

/** Gear by reading of the engine speed; 0 where the clutch is open, slips, or the car stands. */
export interface GearTrack {
  readonly timesS: Float64Array;
  readonly gears: Uint8Array;
  /** Engine over road speed [rpm per m/s]; NaN at standstill. */
  readonly ratios: Float64Array;
}

/** Ratios are compared with those so long before and after [s]: a clutch that comes in moves them faster than this allows. */
const STEADY_REACH_S = 0.15;
const STEADY_SHARE = 0.035;
const LEAST_SPEED_M_PER_S = 2;
/** Tyre slip raises the ratio by up to 8 %; gears stand 12 % apart and more. */
const NEAR_SHARE = 0.14;
/** Slower, the engine idles with the clutch open as likely as not. */
const OVER_IDLE = 1.25;
/** A gear that was in for so short was not in [s]. */
const SHORTEST_IN_S = 0.25;
/** Lost readings and slips within one gear are passed over [s]. */
const BRIDGE_S = 1;
/** Slower logging does not see a clutch. */
const SLOWEST_HZ = 4;

const nearest = (ratio: number, known: Float64Array): number => {
  let best = 0;
  let away = Number.POSITIVE_INFINITY;
  for (let g = 0; g < known.length; g++) {
    const off = Math.abs(Math.log(ratio / known[g]!));
    if (off < away) {
      away = off;
      best = g + 1;
    }
  }
  if (best === 0) return 0;
  const below = known[best - 2];
  const above = known[best];
  const gap = Math.min(
    below ? Math.log(below / known[best - 1]!) : 1,
    above ? Math.log(known[best - 1]! / above) : 1,
    2 * NEAR_SHARE,
  );
  return away <= 0.5 * gap ? best : 0;
};

/** Runs of one gear; `to` is one past the last reading. */
export interface GearRun {
  readonly gear: number;
  readonly from: number;
  readonly to: number;
}

/** Runs of the same gear (0 left out) in order. */
export const gearRuns = ({ gears }: GearTrack): GearRun[] => {
  const runs: GearRun[] = [];
  let from = 0;
  for (let i = 1; i <= gears.length; i++) {
    if (i < gears.length && gears[i] === gears[from]) continue;
    if (gears[from]! > 0) runs.push({ gear: gears[from]!, from, to: i });
    from = i;
  }
  return runs;
};

const tidied = (timesS: Float64Array, gears: Uint8Array): void => {
  const size = gears.length;
  // Too short to be a gear: a ratio that passed by.
  for (let from = 0; from < size; ) {
    let to = from + 1;
    while (to < size && gears[to] === gears[from]) to++;
    if (gears[from]! > 0 && timesS[to - 1]! - timesS[from]! < SHORTEST_IN_S) gears.fill(0, from, to);
    from = to;
  }
  // A hole between two stretches of one gear is no shift.
  for (let from = 0; from < size; ) {
    let to = from + 1;
    while (to < size && gears[to] === gears[from]) to++;
    const before = gears[from - 1] ?? 0;
    if (gears[from] === 0 && before > 0 && gears[to] === before && timesS[to]! - timesS[from - 1]! < BRIDGE_S)
      gears.fill(before, from, to);
    from = to;
  }
};

/**
 * Gear at each reading of `rpm`, by the model's ratios over `idleRpm`; the gears of `parts` of pulls stand as they are; where the log has a gear column its number stands wherever the
 * clutch is home. Null where no speed is quick enough or no ratio is known. Source: kinematics; margins common practice.
 */
export const gearTrackOf = (
  rpm: Channel,
  model: GearModel,
  idleRpm: number,
  parts: readonly PullPart[],
): GearTrack | null => {
  const speed = model.speed;
  if (!speed || model.ratios.length === 0 || speed.rateHz < SLOWEST_HZ || rpm.rateHz < SLOWEST_HZ) return null;
  if (!model.known && steadyRatios(rpm, speed).length < 20) return null;
  const { timesS, values } = rpm;
  const size = values.length;
  const speeds = carried(speed, timesS);
  const ratios = new Float64Array(size).fill(Number.NaN);
  for (let i = 0; i < size; i++)
    if (speeds[i]! > LEAST_SPEED_M_PER_S && values[i]! > 0.3 * idleRpm) ratios[i] = values[i]! / speeds[i]!;
  const known = Float64Array.from(model.ratios);
  const gears = new Uint8Array(size);
  const isSteady = (i: number, k: number): boolean => !(Math.abs(ratios[k]! / ratios[i]! - 1) > STEADY_SHARE);
  let back = 0;
  let ahead = 0;
  for (let i = 0; i < size; i++) {
    while (timesS[i]! - timesS[back]! > STEADY_REACH_S && back < i - 1) back++;
    while (ahead + 1 < size && timesS[ahead]! - timesS[i]! < STEADY_REACH_S) ahead++;
    if (!Number.isFinite(ratios[i]!) || values[i]! < OVER_IDLE * idleRpm) continue;
    // Home is where the ratio stands on one side: at the very edges it moves on the other.
    if (!(isSteady(i, back) || isSteady(i, ahead))) continue;
    gears[i] = nearest(ratios[i]!, known);
  }
  tidied(timesS, gears);
  if (model.gear) {
    for (const { from, to } of gearRuns({ timesS, gears, ratios })) {
      const middle = (timesS[from]! + timesS[to - 1]!) / 2;
      const after = firstIndexAtOrAfter(model.gear.timesS, middle + 1e-9);
      const told = after > 0 ? model.gear.values[after - 1]! : 0;
      if (told >= 1) gears.fill(told, from, to);
    }
  }
  // A pull's parts know their gear by more than one moment: slip and frozen speeds do not count there.
  for (const { gear, startS, endS } of parts) {
    if (gear === null) continue;
    let to = firstIndexAtOrAfter(timesS, startS);
    const from = to;
    while (to < size && timesS[to]! <= endS) to++;
    gears.fill(gear, from, to);
  }
  return { timesS, gears, ratios };
};
