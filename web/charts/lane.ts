/** One logged trace over time, as numbers: what it shows, and where it stands on its lane. */
import { firstIndexAtOrAfter } from '../../src/logs/tiles.ts';

export interface PredictedPiece {
  readonly timesS: readonly number[];
  readonly low: readonly number[];
  readonly middle: readonly number[];
  readonly high: readonly number[];
}

/** A trace in reading units; NaN where its line is broken. */
export interface TraceData {
  readonly timesS: ArrayLike<number>;
  readonly values: ArrayLike<number>;
  readonly predicted: readonly PredictedPiece[];
  /** Where a part gives out, and which side of it is forbidden. */
  readonly wall?: { readonly at: number; readonly forbidden: 'above' | 'below' };
}

/** A stretch of time that a finding rests on. */
export interface Stretch {
  readonly startS: number;
  readonly endS: number;
  readonly selected: boolean;
  readonly letter: string;
}

/** Room for the figures of the value axis [px of the sheet]. */
export const AXIS_WIDTH = 46;
/** Room above and below the plot [px of the sheet]. */
const PADDING = 4;

/** Ends of the value axis: what is in the window, what is predicted there, and a wall that is not far off. */
export const valueRange = (data: TraceData, startS: number, endS: number): [number, number] => {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  // A missing reading is no number: it is neither lower nor higher than anything.
  const take = (timesS: ArrayLike<number>, values: ArrayLike<number>) => {
    let least = low;
    let most = high;
    for (let i = firstIndexAtOrAfter(timesS, startS); i < timesS.length && timesS[i]! <= endS; i++) {
      const value = values[i]!;
      if (value < least) least = value;
      if (value > most) most = value;
    }
    low = least;
    high = most;
  };
  take(data.timesS, data.values);
  for (const piece of data.predicted) {
    take(piece.timesS, piece.low);
    take(piece.timesS, piece.high);
  }
  if (!(high >= low)) return [0, 1];
  const span = Math.max(high - low, Math.abs(high) * 0.02, 1e-9);
  const { wall } = data;
  if (wall && wall.at > low - span * 0.6 && wall.at < high + span * 0.6) {
    low = Math.min(low, wall.at);
    high = Math.max(high, wall.at);
  }
  const room = Math.max(high - low, span) * 0.12;
  return [low - room, high + room];
};

/** Where things stand on a lane, in pixels of the screen. */
export interface LanePlace {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  readonly height: number;
  /** Pixels of the screen in one of the sheet. */
  readonly ratio: number;
  readonly startS: number;
  readonly endS: number;
  readonly low: number;
  readonly high: number;
  readonly x: (timeS: number) => number;
  readonly y: (value: number) => number;
}

/** @param size of the lane's picture in pixels of the screen */
export const placeLane = (
  size: { readonly width: number; readonly height: number; readonly ratio: number },
  { startS, endS }: { readonly startS: number; readonly endS: number },
  [low, high]: readonly [number, number],
): LanePlace => {
  const { width, height, ratio } = size;
  const left = Math.round(AXIS_WIDTH * ratio);
  const top = PADDING * ratio;
  const bottom = height - PADDING * ratio;
  const perS = (width - left) / (endS - startS || 1);
  const perValue = (bottom - top) / (high - low || 1);
  return {
    left,
    right: width,
    top,
    bottom,
    height,
    ratio,
    startS,
    endS,
    low,
    high,
    x: (timeS) => left + (timeS - startS) * perS,
    y: (value) => bottom - (value - low) * perValue,
  };
};
