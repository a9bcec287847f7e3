/** Where the borderline of knock lies after what was heard and not heard: rules of chance, and the labelled logs. */
import { existsSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LABELLED, type LabelledLog, labelledLogs, readBytes, type Told } from '../../tests/labelled-logs.ts';
import { readLog } from '../logs/index.ts';
import { reviewLog } from './index.ts';
import { borderlineAfter } from './knock-evidence.ts';

const PRIOR = { valueDeg: 0, sdDeg: 3 };

describe('the borderline after a log', () => {
  it('stays where it was without anything shown, and hardly moves for timing far short of it', () => {
    const nothing = borderlineAfter(PRIOR, null, null);
    expect(nothing.valueDeg).toBeCloseTo(0, 6);
    expect(nothing.sdDeg).toBeCloseTo(3, 2);
    expect(borderlineAfter(PRIOR, -12, null).valueDeg).toBeLessThan(0.01);
  });

  it('has the mean and spread of a normal cut by a soft edge, as worked out by hand', () => {
    // Silent at the estimate itself: N(0, 3) weighed with Phi(x / 1.5). E = s^2 / sqrt(s^2 + t^2) * sqrt(2 / pi).
    const mean = (9 / Math.sqrt(9 + 2.25)) * Math.sqrt(2 / Math.PI);
    const after = borderlineAfter(PRIOR, 0, null);
    expect(after.valueDeg).toBeCloseTo(mean, 3);
    expect(after.sdDeg).toBeCloseTo(Math.sqrt(9 - mean * mean), 2);
    expect(borderlineAfter(PRIOR, null, 0).valueDeg).toBeCloseTo(-mean, 3);
  });

  it('moves on with later silence, back with earlier knock, and never gets less certain than it was', () => {
    const deg = fc.double({ min: -10, max: 10, noNaN: true });
    fc.assert(
      fc.property(deg, deg, fc.double({ min: 0.3, max: 3, noNaN: true }), (silent, heard, more) => {
        const now = borderlineAfter(PRIOR, silent, heard);
        expect(borderlineAfter(PRIOR, silent + more, heard).valueDeg).toBeGreaterThanOrEqual(now.valueDeg - 1e-9);
        expect(borderlineAfter(PRIOR, silent, heard - more).valueDeg).toBeLessThanOrEqual(now.valueDeg + 1e-9);
        expect(now.sdDeg).toBeLessThanOrEqual(PRIOR.sdDeg + 1e-9);
      }),
    );
  });

  it('is left alone by what nothing was prepared for', () => {
    expect(borderlineAfter({ valueDeg: 1, sdDeg: 0.1 }, 40, null)).toEqual({ valueDeg: 1, sdDeg: 0.1 });
  });
});

interface Truth extends Told {
  readonly columns: readonly { readonly name: string }[];
  readonly faults: readonly { readonly id: string }[];
  readonly limits: { readonly smallest_knock_margin_deg: number };
}

describe('the labelled logs', () => {
  if (!existsSync(LABELLED)) {
    it('says that it was not run', () => {
      console.log('not run: knock shown by the labelled logs (folder ../shared/logs is not there)');
      expect(existsSync(LABELLED)).toBe(false);
    });
    return;
  }
  const logsKnock = ({ columns }: Truth): boolean =>
    columns.some(({ name }) => /^ign_angle|spark/.test(name)) &&
    columns.some(({ name }) => /ign_knock|retard/.test(name));
  const told = labelledLogs<Truth>(logsKnock, ['each']);
  const shownBy = ({ folder, truth, resolved }: LabelledLog<Truth>) => {
    const read = readLog(readBytes(folder, truth));
    if (!read.ok) throw new Error(read.problem.says);
    return reviewLog(read.log, resolved).knock;
  };

  it('move the estimate towards the truth: knock heard, back; silent with the margin as labelled, no further than it', () => {
    expect(told.length).toBeGreaterThan(2);
    const seen = { heard: 0, silent: 0 };
    for (const one of told) {
      const { truth } = one;
      const shown = shownBy(one);
      if (!shown) continue;
      if (truth.faults.some(({ id }) => id === 'knock_retard')) {
        seen.heard++;
        expect(shown.heard).not.toBe(null);
        expect(shown.after.valueDeg).toBeLessThan(-1);
        expect(shown.says).toMatch(/^Knock was heard from /);
      } else if (!shown.heard && shown.silent) {
        seen.silent++;
        // The label's least margin says where the borderline is: this far past the furthest silent timing.
        const borderlineDeg = shown.silent.overLimitDeg + truth.limits.smallest_knock_margin_deg;
        expect(Math.abs(shown.after.valueDeg - borderlineDeg)).toBeLessThan(2 * shown.after.sdDeg);
        expect(shown.says).toMatch(/^Nothing was heard up to /);
      }
    }
    expect(seen.heard).toBeGreaterThan(0);
    expect(seen.silent).toBeGreaterThan(0);
  }, 60_000);
});
