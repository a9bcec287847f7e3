import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { expectSolved } from './reason.ts';
import { MOST_DIMENSIONS, normalQuantile, plainSobol, scrambledSobol } from './sequence.ts';

// Independent: scipy.stats.qmc.Sobol(d=128, scramble=False), SciPy 1.17.1; row index and coordinates 1, 2, 3, 10, 50, 100, 128.
const SCIPY_SOBOL: ReadonlyArray<readonly [number, ...number[]]> = [
  [1, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5],
  [5, 0.875, 0.875, 0.125, 0.125, 0.875, 0.375, 0.125],
  [17, 0.59375, 0.96875, 0.96875, 0.65625, 0.03125, 0.53125, 0.84375],
  [100, 0.4140625, 0.2578125, 0.7734375, 0.6953125, 0.6640625, 0.8828125, 0.4609375],
  [511, 0.001953125, 0.501953125, 0.408203125, 0.201171875, 0.013671875, 0.423828125, 0.509765625],
  [1023, 0.0009765625, 0.7529296875, 0.6123046875, 0.8505859375, 0.8232421875, 0.5302734375, 0.7001953125],
];
// Independent: scipy.stats.norm.ppf, SciPy 1.17.1.
const SCIPY_PPF = [
  [1e-12, -7.034483825301131],
  [1e-5, -4.264890793922825],
  [0.01, -2.3263478740408408],
  [0.05, -1.6448536269514729],
  [0.3, -0.5244005127080409],
  [0.425, -0.18911842627279252],
  [0.5, 0.0],
  [0.6, 0.2533471031357997],
  [0.9, 1.2815515655446004],
  [0.95, 1.6448536269514722],
  [0.975, 1.959963984540054],
  [0.999, 3.090232306167813],
  [0.999999, 4.753424308817087],
] as const;

const take = (dimensions: number, seed: number, count: number): Float64Array[] => {
  const sequence = expectSolved(scrambledSobol(dimensions, seed));
  return Array.from({ length: count }, () => sequence.next());
};
const mean = (points: Float64Array[], f: (point: Float64Array) => number): number =>
  points.reduce((sum, point) => sum + f(point), 0) / points.length;

describe('plain Sobol', () => {
  it('starts as published: 0, 1/2, 3/4 1/4, 1/4 3/4, 3/8 3/8 (Joe & Kuo 2008 notes)', () => {
    const sequence = expectSolved(plainSobol(2));
    const points = Array.from({ length: 5 }, () => [...sequence.next()]);
    expect(points).toEqual([
      [0, 0],
      [0.5, 0.5],
      [0.75, 0.25],
      [0.25, 0.75],
      [0.375, 0.375],
    ]);
  });
  it('agrees with an independent library in 128 dimensions', () => {
    const sequence = expectSolved(plainSobol(MOST_DIMENSIONS));
    const points = Array.from({ length: 1024 }, () => sequence.next());
    for (const [index, ...coordinates] of SCIPY_SOBOL) {
      expect([1, 2, 3, 10, 50, 100, 128].map((d) => points[index]![d - 1])).toEqual(coordinates);
    }
  });
});

describe('scrambled Sobol', () => {
  it('is the same for a seed, different for another, and inside the open cube', () => {
    expect(take(5, 7, 64)).toEqual(take(5, 7, 64));
    expect(take(5, 7, 64)).not.toEqual(take(5, 8, 64));
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        for (const point of take(12, seed, 32)) {
          for (const x of point) {
            expect(x).toBeGreaterThan(0);
            expect(x).toBeLessThan(1);
          }
        }
      }),
    );
  });
  it('keeps the net: every dimension has one point in each of 2^m equal cells, every pair of 1 and 2 too', () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const points = take(100, seed, 256);
        for (let d = 0; d < 100; d++) {
          expect(new Set(points.map((point) => Math.floor(point[d]! * 256))).size).toBe(256);
        }
        for (const [a, b] of [
          [1, 256],
          [16, 16],
          [4, 64],
        ] as const) {
          expect(new Set(points.map((p) => Math.floor(p[0]! * a) * b + Math.floor(p[1]! * b))).size).toBe(256);
        }
      }),
      { numRuns: 20 },
    );
  });
  it('integrates a smooth product far better than random points would', () => {
    // Integral of prod (1 + (x_i - 1/2)/i^2) over the cube is 1; g-function of Sobol' & Asotsky (2003) kind.
    const f = (point: Float64Array): number =>
      point.reduce((product, x, i) => product * (1 + (x - 0.5) / (i + 1) ** 2), 1);
    const errors = [1, 2, 3, 4, 5, 6, 7, 8].map((seed) => mean(take(20, seed, 4096), f) - 1);
    const rms = Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / errors.length);
    // Plain random sampling: standard deviation of f is 0.301, over sqrt(4096) = 0.0047.
    expect(rms).toBeLessThan(0.0047 / 20);
  });
  it('gives normal samples of mean 0 and variance 1', () => {
    const points = take(3, 99, 4096);
    for (const d of [0, 1, 2]) {
      expect(Math.abs(mean(points, (point) => normalQuantile(point[d]!)))).toBeLessThan(0.002);
      expect(Math.abs(mean(points, (point) => normalQuantile(point[d]!) ** 2) - 1)).toBeLessThan(0.01);
    }
  });
  it('refuses dimensions it has no numbers for', () => {
    for (const d of [0, 129, 1.5, Number.NaN, -3]) {
      expect(scrambledSobol(d, 1)).toMatchObject({ ok: false, reason: { code: 'input-out-of-range' } });
    }
  });
});

describe('normal quantile', () => {
  it('agrees with an independent library', () => {
    for (const [p, z] of SCIPY_PPF)
      expect(Math.abs(normalQuantile(p) - z)).toBeLessThan(4e-15 * Math.max(1, Math.abs(z)));
  });
  it('gives the published check values of AS 241: -0.6744897501960817, -3.090232306167814, -9.26234008979841', () => {
    expect(normalQuantile(0.25)).toBeCloseTo(-0.6744897501960817, 14);
    expect(normalQuantile(0.001)).toBeCloseTo(-3.090232306167814, 13);
    expect(normalQuantile(1e-20)).toBeCloseTo(-9.26234008979841, 13);
  });
  it('is odd about one half and rises; it refuses 0 and 1', () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-6, max: 0.5, noNaN: true }), (p) => {
        expect(normalQuantile(p)).toBeCloseTo(-normalQuantile(1 - p), 8);
        expect(normalQuantile(p * 0.99)).toBeLessThan(normalQuantile(p));
      }),
    );
    for (const p of [0, 1, Number.NaN]) expect(() => normalQuantile(p)).toThrow(RangeError);
  });
});
