import { describe, expect, it } from 'vitest';
import { laminarSpeedMPerS } from './burn-law.ts';
import { chargeAt, cylinderWith, solvedCycle } from './cases.testing.ts';

describe('laminar burning speed', () => {
  it('is 0.28 m/s for stoichiometric petrol at 298 K and 1 atm, most near lambda 0.83 (Heywood (1988) table 9.3, from memory)', () => {
    expect(Math.abs(laminarSpeedMPerS(1, 298, 101325, 0) - 0.2808)).toBeLessThan(1e-3);
    const most = laminarSpeedMPerS(1 / 1.21, 298, 101325, 0);
    expect(Math.abs(most - 0.305)).toBeLessThan(1e-3);
    for (const lambda of [0.7, 0.95, 1.2]) expect(laminarSpeedMPerS(lambda, 298, 101325, 0)).toBeLessThan(most);
  });
  it('rises with temperature to 2.13, falls with pressure to -0.217 at lambda 1 (Heywood eq. 9.36, from memory)', () => {
    const base = laminarSpeedMPerS(1, 298, 101325, 0);
    expect(Math.log(laminarSpeedMPerS(1, 596, 101325, 0) / base) / Math.log(2)).toBeCloseTo(2.129, 3);
    expect(Math.log(laminarSpeedMPerS(1, 298, 202650, 0) / base) / Math.log(2)).toBeCloseTo(-0.217, 3);
  });
  it('a tenth of residual gas by mole takes 35 % of it (Heywood eq. 9.38, 1 - 2.06 x^0.77)', () => {
    const share = laminarSpeedMPerS(1, 600, 1e6, 0.1) / laminarSpeedMPerS(1, 600, 1e6, 0);
    expect(Math.abs(share - (1 - 2.06 * 0.1 ** 0.77))).toBeLessThan(1e-9);
  });
  it('stays positive and finite far outside its fit', () => {
    for (const lambda of [0.5, 0.6, 1.5, 2]) {
      for (const diluent of [0, 0.3, 0.6]) {
        const speed = laminarSpeedMPerS(lambda, 250, 3e7, diluent);
        expect(speed).toBeGreaterThan(0);
        expect(Number.isFinite(speed)).toBe(true);
      }
    }
  });
});

describe('burn angles', () => {
  const cylinder = cylinderWith();
  const angles = (rpm: number, kPa: number, lambda: number, spark: number) =>
    solvedCycle(cylinder, chargeAt(cylinder, rpm, kPa, lambda), spark);
  it('are the usual ones at the base state: spark to 10 % about 18, 10 to 90 % about 21 deg (common practice, no source)', () => {
    const base = angles(2000, 95, 1, 20);
    expect(Math.abs(base.developmentDeg - 18)).toBeLessThan(2);
    expect(Math.abs(base.rapidDeg - 21)).toBeLessThan(2);
  });
  it('lengthen by a fifth to a half from 2000 to 6000 rpm at best timing', () => {
    const slow = angles(2000, 95, 1, 20);
    const fast = angles(6000, 95, 1, 33);
    const ratio = (fast.developmentDeg + fast.rapidDeg) / (slow.developmentDeg + slow.rapidDeg);
    expect(ratio).toBeGreaterThan(1.2);
    expect(ratio).toBeLessThan(1.55);
  });
  it('lengthen with residual gas, throttling, leaning out and late sparks (Heywood (1988) sect. 9.3.3, 9.4)', () => {
    const base = angles(2000, 95, 1, 20);
    expect(angles(2000, 40, 1, 28).developmentDeg).toBeGreaterThan(1.15 * base.developmentDeg);
    expect(angles(2000, 95, 1.3, 28).rapidDeg).toBeGreaterThan(1.15 * base.rapidDeg);
    const diluted = chargeAt(cylinder, 2000, 95, 1, { residualFraction: 0.2 });
    expect(solvedCycle(cylinder, diluted, 20).rapidDeg).toBeGreaterThan(1.2 * base.rapidDeg);
    expect(angles(2000, 95, 1, -10).rapidDeg).toBeGreaterThan(1.2 * base.rapidDeg);
  });
});
