import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { expectSolved } from './reason.ts';
import { fallingZero, findRoot } from './roots.ts';

describe('fallingZero', () => {
  const close = () => 1e-9;

  // Against Brent's method as findRoot has it, itself held to published roots below.
  it('finds the zero that the bracketed search finds, from any guess and slope, and leaves off at it', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -40, max: 40, noNaN: true }),
        fc.double({ min: 0.05, max: 3, noNaN: true }),
        fc.double({ min: -60, max: 70, noNaN: true }),
        fc.double({ min: -5, max: -0.01, noNaN: true }),
        (root, k, guess, slope) => {
          let last = Number.NaN;
          const f = (x: number) => {
            last = x;
            return -Math.atan((x - root) * k) - 0.1 * (x - root);
          };
          const { at, slope: found } = fallingZero(f, -60, 70, guess, slope, close);
          expect(last).toBe(at);
          expect(found).toBeLessThan(0);
          expect(Math.abs(at - expectSolved(findRoot(f, -60, 70)))).toBeLessThan(1e-6);
        },
      ),
    );
  });

  it('ends at the end nearer to a zero where there is none in the range', () => {
    expect(fallingZero((x) => 5 - x, 0, 3, 1, -1, close).at).toBeCloseTo(3, 6);
    expect(fallingZero((x) => -1 - x, 0, 3, 1, -1, close).at).toBeCloseTo(0, 6);
  });

  it('finds its way across a jump', () => {
    expect(fallingZero((x) => (x < 2 ? 1 : -1), 0, 3, 0.5, -0.5, close).at).toBeCloseTo(2, 6);
  });
});

describe('findRoot', () => {
  it('finds textbook roots', () => {
    // Real root of x^3 - 2x - 5: Wallis's example of Newton's method (1685), 2.0945514815423265 (OEIS A007493).
    expect(expectSolved(findRoot((x) => x ** 3 - 2 * x - 5, 2, 3))).toBeCloseTo(2.0945514815423265, 12);
    // Fixed point of the cosine, 0.7390851332151607 (OEIS A003957).
    expect(expectSolved(findRoot((x) => Math.cos(x) - x, 0, 1))).toBeCloseTo(0.7390851332151607, 12);
  });
  it('refuses with a reason', () => {
    expect(findRoot((x) => x * x + 1, -1, 1)).toMatchObject({ ok: false, reason: { code: 'bracket-without-root' } });
    expect(findRoot((x) => Math.log(x), -1, 2)).toMatchObject({ ok: false, reason: { code: 'input-out-of-range' } });
    expect(findRoot((x) => x ** 3 - 2, 0, 3, { maxIterations: 2 })).toMatchObject({
      ok: false,
      reason: { code: 'no-convergence' },
    });
  });
  it('recovers any planted root of a rising function', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -50, max: 50, noNaN: true }),
        fc.double({ min: 0.1, max: 4, noNaN: true }),
        (root, k) => {
          const found = expectSolved(findRoot((x) => Math.sinh((x - root) * k * 0.1), -60, 70));
          expect(Math.abs(found - root)).toBeLessThan(1e-9);
        },
      ),
    );
  });
});
