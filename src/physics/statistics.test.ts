import { describe, expect, it } from 'vitest';
import { expectSolved, solved } from './reason.ts';
import { normalDistribution, quantile, quantiles } from './statistics.ts';

describe('quantiles', () => {
  it('is definition 7 of Hyndman & Fan', () => {
    // 1..10 at 0.1, 0.5, 0.9: (n - 1) p + 1 = 1.9, 5.5, 9.1 by the definition.
    const values = [10, 9, 8, 7, 6, 5, 4, 3, 2, 1];
    const got = expectSolved(quantiles(values, [0.1, 0.5, 0.9, 0, 1]));
    [1.9, 5.5, 9.1, 1, 10].forEach((want, i) => {
      expect(got[i]).toBeCloseTo(want, 12);
    });
    expect(values[0]).toBe(10);
  });
  it('leaves out what is not finite and refuses nothing at all', () => {
    expect(quantile([Number.NaN, 3, Number.POSITIVE_INFINITY], 0.5)).toEqual(solved(3));
    expect(quantile([Number.NaN], 0.5)).toMatchObject({ ok: false, reason: { code: 'no-samples' } });
    expect(quantile([1], 1.2)).toMatchObject({ ok: false, reason: { code: 'input-out-of-range' } });
  });
});

describe('normalDistribution', () => {
  it('has the values of the standard normal table, to the error its approximation is published with', () => {
    // Abramowitz & Stegun, table 26.1 and the usual percentage points (from memory, 10 figures).
    for (const [z, below] of [
      [0, 0.5],
      [1, 0.8413447461],
      [2, 0.9772498681],
      [3, 0.998650102],
      [-1.281551566, 0.1],
      [1.959963985, 0.975],
    ] as const) {
      expect(Math.abs(normalDistribution(z) - below)).toBeLessThan(7.5e-8);
    }
    expect([normalDistribution(-40), normalDistribution(40)]).toEqual([0, 1]);
  });
});
