import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { startedAtOf } from './started-at.ts';
import { readTable, type TableResult } from './table.ts';

const startOf = (result: TableResult): string | null => {
  if (!result.ok) throw new Error(result.problem.says);
  return startedAtOf(result.table);
};
const drive = (clock: (row: number) => string): Uint8Array =>
  new TextEncoder().encode(
    ['time,rpm', ...Array.from({ length: 200 }, (_, row) => `${clock(row)},${900 + row}`)].join('\n'),
  );

it('knows the date of a clock that writes one', () => {
  const fraction = (row: number) => (row % 10) * 100;
  const second = (row: number) => 50 + Math.floor(row / 10);
  const dated = (row: number) =>
    new Date(Date.UTC(2031, 4, 17, 23, 59, second(row), fraction(row)))
      .toISOString()
      .replace('T', ' ')
      .replace('Z', '');
  expect(startOf(readTable(drive(dated)))).toBe('2031-05-17T23:59:50');
  // The same instant as seconds from 1970 (POSIX.1-2017, 4.16).
  expect(startOf(readTable(drive((row) => (1_936_828_790 + row / 10).toFixed(1))))).toBe('2031-05-17T23:59:50');
});

it('knows none of a clock that counts from its start', () => {
  expect(startOf(readTable(drive((row) => (row / 10).toFixed(1))))).toBeNull();
  expect(startOf(readTable(drive((row) => `12:00:${String(10 + row / 10).slice(0, 4)}`)))).toBeNull();
});

// HDBLOCK of ASAM MDF 4.1: 1,700,000,000 s from 1970, which `date -u -d @1700000000` (GNU coreutils) writes so.
it('takes the start that a measurement file states', () => {
  const bytes = new Uint8Array(readFileSync(new URL('../../data/fixtures/mdf4/sorted.mf4', import.meta.url)));
  expect(startOf(readTable(bytes))).toBe('2023-11-14T22:13:20');
  // 120 minutes east by flag 2 of hd_time_flags, 60 of them summer time.
  const view = new DataView(bytes.buffer);
  const data = 64 + 24 + 8 * Number(view.getBigUint64(80, true));
  view.setInt16(data + 8, 60, true);
  view.setInt16(data + 10, 60, true);
  view.setUint8(data + 12, 2);
  expect(startOf(readTable(bytes))).toBe('2023-11-15T00:13:20');
});
