/** Straight lines from what a column holds (volts, counts) to values in a unit. */
import type { Column, Scaling } from './types.ts';

/** Beyond this a value is no reading of anything, and would overflow in other units. */
const MOST = 1e200;

export interface Line {
  readonly slope: number;
  readonly offset: number;
}

/** The line of a scaling, or why it is none, as the end of a sentence. Two points give slope (v2 - v1)/(x2 - x1) and offset v1 - slope x1. */
export const lineOf = (scaling: Scaling): Line | string => {
  if ('points' in scaling) {
    const [[x1, v1], [x2, v2]] = scaling.points;
    if (![x1, v1, x2, v2].every(Number.isFinite)) return 'its two points need four numbers';
    if (x1 === x2) return `both points are at ${x1}; give two that differ`;
    if (v1 === v2) return `both points give ${v1}, so every reading would be the same`;
    const slope = (v2 - v1) / (x2 - x1);
    return { slope, offset: v1 - slope * x1 };
  }
  const { slope, offset } = scaling;
  if (!Number.isFinite(slope) || !Number.isFinite(offset)) return 'its slope and offset must be numbers';
  if (slope === 0) return 'a slope of 0 makes every reading the same';
  return { slope, offset };
};

/** The column with its numbers taken along the line. */
export const scaledColumn = (column: Column, { slope, offset }: Line): Column => ({
  ...column,
  cells: column.cells.map((cell) => {
    const value = slope * cell + offset;
    return Math.abs(value) < MOST ? value : Number.NaN;
  }),
});
