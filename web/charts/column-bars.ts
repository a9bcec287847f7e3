/** A dense trace column by column of the screen: pure arithmetic, so that it can be held to the readings. */
import { firstIndexAtOrAfter } from '../../src/logs/tiles.ts';

export interface ColumnBars {
  /** Lowest and highest of the line in each column; NaN where no reading lies in it. */
  readonly least: Float64Array;
  readonly most: Float64Array;
  /** Lines over columns without a reading: column and value where each begins and ends. */
  readonly bridges: readonly (readonly [number, number, number, number])[];
}

/**
 * In every column one upright bar from the lowest to the highest reading, reaching to where the column before ended: the
 * same picture as the line through all readings, drawn in a time that does not grow with its swings.
 */
export const columnBars = (
  timesS: ArrayLike<number>,
  values: ArrayLike<number>,
  startS: number,
  endS: number,
  columns: number,
): ColumnBars => {
  const least = new Float64Array(columns).fill(Number.NaN);
  const most = new Float64Array(columns).fill(Number.NaN);
  const bridges: [number, number, number, number][] = [];
  const perS = columns / (endS - startS || 1);
  let column = Number.NaN;
  let last = 0;
  // Read and written by index and held in plain variables: this runs for every reading of every lane of every frame.
  for (let i = Math.max(0, firstIndexAtOrAfter(timesS, startS) - 1); i < timesS.length; i++) {
    const value = values[i]!;
    if (Number.isNaN(value)) {
      // Nothing was read here: the line ends, and begins anew.
      column = Number.NaN;
      continue;
    }
    const timeS = timesS[i]!;
    const now = Math.floor((timeS - startS) * perS);
    const inside = now >= 0 && now < columns;
    if (now === column) {
      if (inside) {
        if (value < least[now]!) least[now] = value;
        if (value > most[now]!) most[now] = value;
      }
    } else {
      // False where nothing came before.
      const near = now - column <= 1;
      if (now - column > 1) bridges.push([column, last, now, value]);
      if (inside) {
        least[now] = near && last < value ? last : value;
        most[now] = near && last > value ? last : value;
      }
      column = now;
    }
    last = value;
    if (timeS > endS) break;
  }
  return { least, most, bridges };
};
