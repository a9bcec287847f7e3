import { describe, expect, it } from 'vitest';
import { readLog } from '../../logs/index.ts';
import { findAll } from './index.ts';

const ROWS = 800;
const RATE_HZ = 20;
/** A steady drive, coolant once a second in its own cells; rows of the gap are left out, cells of the hole are blank. */
const idsOf = (isGap: (row: number) => boolean, isHole: (row: number) => boolean): string[] => {
  const lines = ['Time (s),Engine Speed (rpm),MAP (kPa),Coolant Temp (C)'];
  for (let row = 0; row < ROWS; row++) {
    if (isGap(row)) continue;
    const coolant = row % RATE_HZ === 0 && !isHole(row) ? (88 + (row % 3) / 10).toFixed(1) : '';
    lines.push(
      `${(row / RATE_HZ).toFixed(2)},${2200 + 40 * Math.sin(row / 9)},${(45 + Math.sin(row / 5)).toFixed(1)},${coolant}`,
    );
  }
  const read = readLog(new TextEncoder().encode(lines.join('\n')));
  if (!read.ok) throw new Error(read.problem.says);
  return findAll(read.log, null, []).findings.map(({ id }) => id);
};

describe('a slow channel over a gap of the clock', () => {
  it('is not lost where the logger left rows out', () => {
    const ids = idsOf(
      (row) => row > 300 && row < 365,
      () => false,
    );
    expect(ids).toContain('clock-fault');
    expect(ids).not.toContain('sensor-dropout');
  });
  it('is lost where rows stand and it has none', () => {
    expect(
      idsOf(
        () => false,
        (row) => row > 300 && row < 365,
      ),
    ).toContain('sensor-dropout');
  });
});
