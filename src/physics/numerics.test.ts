import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  clamp,
  fallingZero,
  findMinimum,
  findRoot,
  linearCurve,
  monotoneCurve,
  quantile,
  quantiles,
} from './numerics.ts';
import { chainSolved, ExpectedSolution, expectSolved, mapSolved, solved, unsolved } from './reason.ts';

const SCIPY_PCHIP = [
  [8.03, 4.426217454066346e-6],
  [8.15, 0.023528278365786123],
  [8.5, 0.1166325769392755],
  [9.0, 0.33753432684619816],
  [9.7, 0.8285693786523164],
  [11, 0.9860433625350502],
  [13.3, 0.9995157938892956],
  [19, 0.9999912279493809],
] as const;
const SCIPY_PCHIP_SLOPES = [
  [8.03, 0.00022125498180221366],
  [8.5, 0.20580225251505585],
  [9.7, 0.6331619961706658],
  [13.3, 0.00046749618645022773],
] as const;

describe('answers that may not exist', () => {
  it('passes answers and refusals along', () => {
    expect(mapSolved(solved(2), (x) => x * 3)).toEqual(solved(6));
    const refusal = unsolved<number>('no-convergence', 'It did not converge.');
    expect(mapSolved(refusal, (x) => x * 3)).toEqual(refusal);
    expect(chainSolved(solved(2), () => refusal)).toEqual(refusal);
    expect(chainSolved(refusal, (x) => solved(x))).toEqual(refusal);
    expect(() => expectSolved(refusal)).toThrow(ExpectedSolution);
    expect(() => expectSolved(refusal)).toThrow('no-convergence: It did not converge.');
  });
});

describe('fallingZero', () => {
  const close = () => 1e-9;

  // Against Brent's method of this file, itself held to published roots below.
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

describe('findMinimum', () => {
  it('finds the valley of a parabola and of a cosh', () => {
    expect(expectSolved(findMinimum((x) => (x - 1.25) ** 2 + 3, -2, 5)).at).toBeCloseTo(1.25, 6);
    // x^x is least at 1/e (calculus).
    expect(expectSolved(findMinimum((x) => x ** x, 0.01, 2)).at).toBeCloseTo(1 / Math.E, 6);
  });
  it('finds a minimum that lies on an end, and refuses an empty interval', () => {
    expect(expectSolved(findMinimum((x) => x, 2, 3))).toEqual({ at: 2, value: 2 });
    expect(findMinimum((x) => x, 3, 3)).toMatchObject({ ok: false, reason: { code: 'input-out-of-range' } });
  });
});

describe('curves', () => {
  it('agrees with the published PCHIP example', () => {
    // Data of Fritsch & Carlson (1980), table RPN 14 subset; values from an independent library (SciPy 1.17.1,
    // PchipInterpolator).
    const xs = [7.99, 8.09, 8.19, 8.7, 9.2, 10, 12, 15, 20];
    const ys = [0, 2.76429e-5, 4.37498e-2, 0.169183, 0.469428, 0.94374, 0.998636, 0.999919, 0.999994];
    const curve = expectSolved(monotoneCurve(xs, ys));
    for (const [x, y] of SCIPY_PCHIP) expect(Math.abs(curve.at(x) - y)).toBeLessThan(1e-12);
    for (const [x, slope] of SCIPY_PCHIP_SLOPES) expect(Math.abs(curve.slopeAt(x) - slope)).toBeLessThan(1e-11);
  });
  it('clamps at both ends and refuses bad tables', () => {
    for (const make of [linearCurve, monotoneCurve]) {
      const curve = expectSolved(make([1, 2, 4], [10, 20, 0]));
      expect([curve.at(0), curve.at(1), curve.at(4), curve.at(9), curve.slopeAt(0)]).toEqual([10, 10, 0, 0, 0]);
      expect(expectSolved(make([3], [7])).at(100)).toBe(7);
      for (const [xs, ys] of [
        [[], []],
        [
          [1, 1],
          [0, 0],
        ],
        [[1, 2], [0]],
        [
          [1, Number.NaN],
          [0, 0],
        ],
      ] as const) {
        expect(make(xs, ys)).toMatchObject({ ok: false, reason: { code: 'table-malformed' } });
      }
    }
    expect(expectSolved(linearCurve([0, 2], [0, 10])).at(0.5)).toBe(2.5);
    expect(expectSolved(linearCurve([0, 2], [0, 10])).slopeAt(0.5)).toBe(5);
  });
  it('keeps the order of any rising table and passes through its points', () => {
    const steps = fc.array(
      fc.tuple(fc.double({ min: 0.01, max: 5, noNaN: true }), fc.double({ min: 0, max: 5, noNaN: true })),
      { minLength: 2, maxLength: 12 },
    );
    fc.assert(
      fc.property(steps, (pairs) => {
        let x = 0;
        let y = 0;
        const xs = pairs.map(([dx]) => (x += dx));
        const ys = pairs.map(([, dy]) => (y += dy));
        const curve = expectSolved(monotoneCurve(xs, ys));
        xs.forEach((at, i) => {
          expect(curve.at(at)).toBeCloseTo(ys[i]!, 9);
        });
        let before = curve.at(xs[0]!);
        for (let i = 1; i <= 200; i++) {
          const now = curve.at(xs[0]! + ((xs.at(-1)! - xs[0]!) * i) / 200);
          expect(now).toBeGreaterThanOrEqual(before - 1e-9);
          before = now;
        }
      }),
      { numRuns: 50 },
    );
  });
});

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
  it('clamps', () => {
    expect([clamp(-1, 0, 1), clamp(0.5, 0, 1), clamp(2, 0, 1)]).toEqual([0, 0.5, 1]);
  });
});
