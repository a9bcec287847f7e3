import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { demoBuild } from '../findings/base-drive.ts';
import { dayOf } from './day.ts';
import { powerDrive } from './power-drive.testing.ts';
import { pullEstimates } from './pull-estimates.ts';
import { gradeShare } from './road-grade.ts';
import { unknownsOf } from './unknowns.ts';

describe('how hilly the road was', () => {
  it('is what was taken while nothing tells: the kinds of road have that mean square', () => {
    expect(gradeShare(0, 10, 0.01)).toBeCloseTo(1, 1);
  });

  it('is next to level where the ways agree to the point, and hilly where they are far apart', () => {
    // One road in four is taken to be level to 0.2 %: errors of 0.3 % against 3 % per percent of grade find it.
    expect(gradeShare(0, 0.003, 0.03)).toBeLessThan(0.65);
    expect(gradeShare(0.12, 0.01, 0.03)).toBeGreaterThan(1.5);
  });

  it('rises with the gap and never leaves the kinds of road (property)', () => {
    const value = fc.double({ min: 0, max: 0.3, noNaN: true });
    const spread = fc.double({ min: 0.002, max: 0.1, noNaN: true });
    fc.assert(
      fc.property(value, value, spread, spread, (a, b, level, grade) => {
        const [less, more] = [Math.min(a, b), Math.max(a, b)];
        expect(gradeShare(more, level, grade)).toBeGreaterThanOrEqual(gradeShare(less, level, grade) - 1e-9);
        expect(gradeShare(more, level, grade)).toBeLessThanOrEqual(2.03);
        expect(gradeShare(less, level, grade)).toBeGreaterThanOrEqual(0.19);
      }),
    );
  });
});

describe('a pull on a level road', () => {
  it('makes acceleration surer where air and fuel agree with it than where nothing else was logged', () => {
    const resolved = demoBuild();
    const drive = powerDrive(resolved.car);
    const grade = unknownsOf(resolved).findIndex((unknown) => 'error' in unknown && unknown.error === 'grade');
    const moveOf = (channels: readonly string[]) => {
      const log = { ...drive.log, channels: drive.log.channels.filter(({ channel }) => channels.includes(channel)) };
      const { cells } = pullEstimates(log, log.pulls[0]!, resolved, dayOf(log), new Set());
      return Math.abs(cells.filter(({ method }) => method === 'acceleration').at(-2)!.moves[grade]!);
    };
    const alone = moveOf(['engine-speed', 'vehicle-speed', 'pedal']);
    const agreed = moveOf(drive.log.channels.map(({ channel }) => channel));
    expect(alone).toBeGreaterThan(0.01);
    expect(agreed).toBeLessThan(0.9 * alone);
  });
});
