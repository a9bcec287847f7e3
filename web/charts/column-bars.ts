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
  let lastColumn: number | null = null;
  let last = 0;
  for (let i = Math.max(0, firstIndexAtOrAfter(timesS, startS) - 1); i < timesS.length; i++) {
    const value = values[i]!;
    if (!Number.isFinite(value)) continue;
    const timeS = timesS[i]!;
    const column = Math.floor((timeS - startS) * perS);
    const near = lastColumn !== null && column - lastColumn <= 1;
    if (lastColumn !== null && !near) bridges.push([lastColumn, last, column, value]);
    if (column >= 0 && column < columns) {
      const fresh = Number.isNaN(least[column]!);
      let low = fresh ? value : Math.min(least[column]!, value);
      let high = fresh ? value : Math.max(most[column]!, value);
      if (fresh && near) {
        low = Math.min(low, last);
        high = Math.max(high, last);
      }
      least[column] = low;
      most[column] = high;
    }
    last = value;
    lastColumn = column;
    if (timeS > endS) break;
  }
  return { least, most, bridges };
};
