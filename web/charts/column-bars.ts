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
  // The column that is being filled. Readings come in order of time: a column is finished when the next one begins.
  let column = Number.NaN;
  let low = 0;
  let high = 0;
  let last = 0;
  const finish = () => {
    if (column >= 0 && column < columns) {
      least[column] = low;
      most[column] = high;
    }
  };
  for (let i = Math.max(0, firstIndexAtOrAfter(timesS, startS) - 1); i < timesS.length; i++) {
    const value = values[i]!;
    // Missing.
    if (Number.isNaN(value)) continue;
    const timeS = timesS[i]!;
    const now = Math.floor((timeS - startS) * perS);
    if (now === column) {
      if (value < low) low = value;
      if (value > high) high = value;
    } else {
      finish();
      const begun = !Number.isNaN(column);
      const near = begun && now - column <= 1;
      if (begun && !near) bridges.push([column, last, now, value]);
      low = near && last < value ? last : value;
      high = near && last > value ? last : value;
      column = now;
    }
    last = value;
    if (timeS > endS) break;
  }
  finish();
  return { least, most, bridges };
};
