import { describe, expect, it } from 'vitest';
import { chargeAt, cylinderWith, PETROL_98, solvedCycle } from './cases.testing.ts';
import { CYLINDER_REASONS } from './reasons.ts';
import {
  bestTorqueAdvance,
  KNOCK_ANCHOR,
  knockLimitedAdvance,
  knockReference,
  newTimingOut,
  TIMING_RANGE,
} from './timing.ts';
import { newCycleOut } from './types.ts';

const work = newCycleOut();
const out = newTimingOut();

describe('best-torque timing', () => {
  const cylinder = cylinderWith();
  it.each([
    [1500, 40, 1],
    [2000, 95, 1],
    [4000, 95, 0.9],
    [6500, 95, 0.9],
    [4000, 200, 0.83],
    [3000, 100, 1.3],
  ])('at %s rpm, %s kPa, lambda %s loses no more than 0.03 % against a scan in half degrees', (rpm, kPa, lambda) => {
    const charge = chargeAt(cylinder, rpm, kPa, lambda);
    expect(bestTorqueAdvance(cylinder, charge, 20, work, out)).toBe(null);
    expect(out.edge).toBe('none');
    let most = 0;
    for (let spark = -5; spark <= 60; spark += 0.5) {
      most = Math.max(most, solvedCycle(cylinder, charge, spark).grossWorkJ);
    }
    expect(solvedCycle(cylinder, charge, out.advanceDeg).grossWorkJ / most).toBeGreaterThan(0.9997);
  });

  it('costs three cycles from its own answer and forgets where it came from', () => {
    const charge = chargeAt(cylinder, 3000, 95);
    bestTorqueAdvance(cylinder, charge, 20, work, out);
    const first = out.advanceDeg;
    bestTorqueAdvance(cylinder, charge, first, work, out);
    expect(out.cycles).toBeLessThanOrEqual(4);
    expect(Math.abs(out.advanceDeg - first)).toBeLessThan(0.5);
    bestTorqueAdvance(cylinder, charge, -20, work, out);
    expect(Math.abs(out.advanceDeg - first)).toBeLessThan(0.5);
  });

  it('comes earlier with speed, thin charge and lean mixture (Heywood (1988) sect. 15.3.1 and 15.3.2)', () => {
    const best = (rpm: number, kPa: number, lambda: number) => {
      bestTorqueAdvance(cylinder, chargeAt(cylinder, rpm, kPa, lambda), 20, work, out);
      return out.advanceDeg;
    };
    const usual = best(2000, 95, 1);
    expect(usual).toBeGreaterThan(12);
    expect(usual).toBeLessThan(30);
    expect(best(5000, 95, 1)).toBeGreaterThan(usual + 4);
    expect(best(5000, 95, 1)).toBeLessThan(40);
    expect(best(2000, 40, 1)).toBeGreaterThan(usual + 4);
    expect(best(2000, 95, 1.3)).toBeGreaterThan(usual + 4);
    expect(best(2000, 95, 0.85)).toBeLessThan(usual);
  });

  it('passes a refusal on', () => {
    expect(bestTorqueAdvance(cylinder, chargeAt(cylinder, 3000, 95, 1, { lambda: 9 }), 20, work, out)).toBe(
      CYLINDER_REASONS.lambda,
    );
  });
});

describe('knock-limited timing', () => {
  const anchor = () => cylinderWith({ compressionRatio: KNOCK_ANCHOR.compressionRatio });
  const limit = (
    changes: { kPa?: number; rpm?: number; ratio?: number; lambda?: number } & Partial<
      Parameters<typeof chargeAt>[4]
    > = {},
  ) => {
    const { kPa = 200, rpm = 4000, ratio = KNOCK_ANCHOR.compressionRatio, lambda = 0.83, ...charge } = changes;
    const cylinder = cylinderWith({ compressionRatio: ratio });
    expect(
      knockLimitedAdvance(cylinder, chargeAt(cylinder, rpm, kPa, lambda, charge), knockReference(), 10, work, out),
    ).toBe(null);
    return out.advanceDeg;
  };

  it('stands at the anchor, within the difference of the two charges (common practice, no source)', () => {
    expect(Math.abs(limit() - KNOCK_ANCHOR.advanceDeg)).toBeLessThan(3);
  });

  it('is where the integral meets the level', () => {
    const cylinder = anchor();
    const charge = chargeAt(cylinder, 4000, 200, 0.83);
    for (const shift of [-0.4, 0, 0.3]) {
      knockLimitedAdvance(cylinder, charge, knockReference() + shift, 10, work, out);
      const at = solvedCycle(cylinder, charge, out.advanceDeg);
      expect(Math.abs(Math.log(at.knockIntegral) - knockReference() - shift)).toBeLessThan(0.02);
      expect(out.cycles).toBeLessThanOrEqual(5);
    }
  });

  it('moves as is known: later with boost, heat, compression; earlier with octane, speed, cooling by evaporation', () => {
    const base = limit();
    const kPa = (limit({ kPa: 220 }) - base) / 20;
    // Common practice: about 1 deg per 7 kPa; per octane number 0.5 to 1.2 deg; no source.
    expect(kPa).toBeLessThan(-0.05);
    expect(kPa).toBeGreaterThan(-0.35);
    const octane = (limit({ fuel: { ...PETROL_98, researchOctane: 102 } }) - base) / 4;
    expect(octane).toBeGreaterThan(0.3);
    expect(octane).toBeLessThan(1.3);
    const hot = chargeAt(anchor(), 4000, 200, 0.83).temperatureK + 20;
    expect(limit({ temperatureK: hot })).toBeLessThan(base - 1.5);
    expect(limit({ ratio: 10.25 })).toBeLessThan(base - 1.5);
    expect(limit({ rpm: 5500 })).toBeGreaterThan(base + 2);
    expect(limit({ evaporationJPerKgAir: 15e3 })).toBeGreaterThan(base + 1);
    expect(limit({ residualFraction: 0.15 })).toBeGreaterThan(base);
  });

  it('does not depend on where the search began', () => {
    const cylinder = anchor();
    const charge = chargeAt(cylinder, 3500, 220, 0.82);
    const found = [-20, 0, 12, 40].map((guess) => {
      knockLimitedAdvance(cylinder, charge, knockReference(), guess, work, out);
      return out.advanceDeg;
    });
    for (const answer of found) expect(Math.abs(answer - found[0]!)).toBeLessThan(0.3);
  });

  it('says when no timing reaches the level', () => {
    const cylinder = anchor();
    knockLimitedAdvance(cylinder, chargeAt(cylinder, 6000, 40), knockReference(), 20, work, out);
    expect(out.edge).toBe('advanced');
    expect(out.advanceDeg).toBe(TIMING_RANGE.earliest);
    const low = { ...PETROL_98, researchOctane: 40 };
    knockLimitedAdvance(cylinder, chargeAt(cylinder, 1000, 300, 0.83, { fuel: low }), knockReference(), 0, work, out);
    expect(out.edge).toBe('retarded');
    expect(out.advanceDeg).toBe(TIMING_RANGE.latest);
    expect(knockLimitedAdvance(cylinder, chargeAt(cylinder, 4000, 200), Number.NaN, 0, work, out)).toBe(
      CYLINDER_REASONS.reference,
    );
  });
});
