import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { linearCurve, monotoneCurve } from './curves.ts';
import { expectSolved } from './reason.ts';

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
