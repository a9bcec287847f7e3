/** Gear changes of a drive, foot down or not: where one gear is left and the next is in. */
import { type GearTrack, gearRuns } from './gear-track.ts';

/** A gear change from the foot coming off to the next gear being driven. */
export interface GearChange {
  readonly startS: number;
  readonly endS: number;
  readonly from: number;
  readonly to: number;
}

/** Longer between two gears is a roll in neutral [s]. */
const LONGEST_S = 2.5;
/** A foot that came off so long before the clutch opened did so for the shift [s]. */
const FOOT_BEFORE_S = 0.8;
/** And one that comes back so soon after the next gear is in ends it [s]. */
const FOOT_AFTER_S = 0.9;
/** The foot is off under this share of the demand before, and on again over this much more than at rest. */
const OFF_SHARE = 0.5;
const ON_AGAIN = 0.04;
const ON_BARELY = 0.008;
const RESTS_UNDER = 0.12;
const RESTS_FOR_S = 0.2;
/** With less demand than this before, nothing shows when the foot came off. */
const LEAST_DEMAND = 0.04;

/**
 * Changes between two gears that follow one another while the car rolls. `demand` is the driver's demand 0..1 at the
 * track's times, null where it is not known: then the change is timed by the ratio alone.
 */
export const gearChanges = (track: GearTrack, demand: Float64Array | null): GearChange[] => {
  const { timesS, ratios } = track;
  const runs = gearRuns(track);
  const changes: GearChange[] = [];
  for (let r = 1; r < runs.length; r++) {
    const [left, entered] = [runs[r - 1]!, runs[r]!];
    if (left.gear === entered.gear) continue;
    let [start, end] = [left.to - 1, entered.from];
    if (timesS[end]! - timesS[start]! > LONGEST_S) continue;
    let rolled = true;
    for (let i = start; rolled && i <= end; i++) rolled = Number.isFinite(ratios[i]!);
    if (!rolled) continue;
    if (demand) {
      start = footOff(timesS, demand, start, end, left.from);
      end = footOn(timesS, demand, end, entered.to);
    }
    changes.push({ startS: timesS[start]!, endS: timesS[end]!, from: left.gear, to: entered.gear });
  }
  return changes;
};

/** The moment at which the foot first came off for the change; the end of the old gear where it did not. */
const footOff = (timesS: Float64Array, demand: Float64Array, leaves: number, enters: number, first: number): number => {
  let start = leaves;
  while (start > first && timesS[leaves]! - timesS[start - 1]! <= FOOT_BEFORE_S) start--;
  const level = demand[start]!;
  if (!(level > LEAST_DEMAND)) return leaves;
  for (let i = start + 1; i <= enters; i++) {
    if (!(demand[i]! < OFF_SHARE * level)) continue;
    // Back to the last moment at which the foot was still where it had been.
    while (i > start && demand[i]! < 0.9 * level) i--;
    return i;
  }
  return leaves;
};

/** The moment at which a resting foot came back soon after the gear was in; the moment the gear was in otherwise. */
const footOn = (timesS: Float64Array, demand: Float64Array, enters: number, to: number): number => {
  // The foot was quicker than the clutch: the change ends where the clutch is home.
  if (!(demand[enters]! < RESTS_UNDER)) return enters;
  let rest = 0;
  for (let i = enters; i < to && timesS[i]! - timesS[enters]! < FOOT_AFTER_S; i++) {
    if (timesS[i]! - timesS[enters]! < RESTS_FOR_S) rest = Math.max(rest, Math.min(demand[i]!, RESTS_UNDER));
    else if (demand[i]! > rest + ON_AGAIN) {
      while (i > enters && demand[i - 1]! > rest + ON_BARELY) i--;
      return Math.max(enters, i - 1);
    }
  }
  return enters;
};
