/** Shared by the tests of this room: rows of independent values, each with its id and source. */
import { expect, it } from 'vitest';

/** One independent value. Exactly one tolerance is given: `relative` as a ratio or `absolute` in the value's unit. */
export interface CheckRow {
  /** Identifier in the project's list of outside check values. */
  readonly id: string;
  readonly source: string;
  readonly expected: number;
  readonly relative?: number;
  readonly absolute?: number;
  readonly got: () => number;
}

/** Runs each row as a test of its own. Source: the rows'. */
export const runCheckRows = (rows: readonly CheckRow[]): void => {
  for (const row of rows) {
    it(`${row.id} (${row.source})`, () => {
      const tolerance = row.absolute ?? (row.relative ?? 0) * Math.abs(row.expected);
      const off = row.got() - row.expected;
      expect(Math.abs(off), `off by ${off} where ${tolerance} is allowed`).toBeLessThanOrEqual(tolerance);
    });
  }
};
