import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BINS } from './bins.testing.ts';
import { BELIEF, bandOf, believedScale, combine, leastVarianceWeights } from './combine.ts';
import type { Cell } from './pull-estimates.ts';
import type { Method } from './unknowns.ts';

/** Each method with one error of its own; air and fuel share another. */
const cellsOf = (offsets: Partial<Record<Method, number>>): Cell[] =>
  (Object.entries(offsets) as [Method, number][]).flatMap(([method, offset]) =>
    BINS.map((_, bin) => ({
      method,
      bin,
      logPower: Math.log(150e3) + offset,
      noiseSd: 0,
      burningNoiseSd: 0,
      moves: Float64Array.from([
        method === 'acceleration' ? 0 : 0.02,
        ...(['density', 'meter', 'fuel', 'acceleration'] as const).map((other) => (other === method ? 0.02 : 0)),
      ]),
    })),
  );

describe('weights of least variance', () => {
  it('go with one over the variance when nothing is shared (Gauss; two values of deviation 1 and 2 weigh 4 to 1)', () => {
    const variances = [1, 4];
    const weights = leastVarianceWeights((i, j) => (i === j ? variances[i]! : 0), 2);
    expect(weights[0]).toBeCloseTo(0.8, 12);
    expect(weights[1]).toBeCloseTo(0.2, 12);
  });

  it('are never negative and add up to one (property)', () => {
    const size = 4;
    fc.assert(
      fc.property(fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 20, maxLength: 20 }), (loads) => {
        // Any covariance: loads times loads, plus a little of its own.
        const of = (i: number, j: number) => {
          let sum = i === j ? 0.01 : 0;
          for (let k = 0; k < 5; k++) sum += loads[5 * i + k]! * loads[5 * j + k]!;
          return sum;
        };
        const weights = leastVarianceWeights(of, size);
        for (const weight of weights) expect(weight).toBeGreaterThanOrEqual(0);
        expect(weights.reduce((sum, weight) => sum + weight, 0)).toBeCloseTo(1, 9);
      }),
      { numRuns: 300, seed: 5 },
    );
  });
});

describe('methods brought together', () => {
  it('lie between them and are surer than each', () => {
    const all = combine({
      bins: BINS,
      cells: cellsOf({ density: 0.01, fuel: 0.02, acceleration: -0.01 }),
      problems: [],
    });
    for (const power of all.combined) {
      const off = power!.logPower - Math.log(150e3);
      expect(off).toBeGreaterThan(-0.01);
      expect(off).toBeLessThan(0.02);
    }
    expect(all.combined[3]!.sd).toBeLessThan(all.fromAcceleration[3]!.sd);
    expect(all.outlier).toBeNull();
    expect(all.divided).toBe(false);
  });

  it('set one aside that the others contradict together', () => {
    const all = combine({
      bins: BINS,
      cells: cellsOf({ density: 0, meter: -0.3, fuel: 0.01, acceleration: -0.01 }),
      problems: [],
    });
    expect(all.outlier?.method).toBe('meter');
    expect(Math.abs(all.combined[2]!.logPower - Math.log(150e3))).toBeLessThan(0.01);
    expect(Math.abs(all.fromAir[2]!.logPower - Math.log(150e3))).toBeLessThan(0.01);
  });

  it('widen when two camps stand against each other', () => {
    const calm = combine({ bins: BINS, cells: cellsOf({ fuel: 0.01, acceleration: -0.01 }), problems: [] });
    const torn = combine({ bins: BINS, cells: cellsOf({ fuel: 0.2, acceleration: -0.2 }), problems: [] });
    expect(torn.divided).toBe(true);
    expect(torn.combined[0]!.sd).toBeGreaterThan(4 * calm.combined[0]!.sd);
  });

  it('has nothing to say about nothing', () => {
    const all = combine({ bins: BINS, cells: [], problems: [] });
    expect(all.combined.every((power) => power === null)).toBe(true);
  });
});

describe('belief in the spreads', () => {
  it('is the weighted mean of believed and seen variance (Gelman et al. 2013, sect. 2.6, conjugate variance)', () => {
    // Eight comparisons believed at 0.49, two seen that lie 6 apart in squares: (8 x 0.49 + 6) / 10.
    expect(believedScale({ share: 0.7, worth: 8 }, 6, 2) ** 2).toBeCloseTo(0.992, 12);
    expect(believedScale({ share: 0.7, worth: 8 }, 0, 0)).toBeCloseTo(0.7, 12);
  });

  it('lets a band widen with the distance between the ways and with nothing else (property)', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 0.04, noNaN: true }), (offset) => {
        const near = combine({ bins: BINS, cells: cellsOf({ density: 0, acceleration: 0 }), problems: [] });
        const far = combine({ bins: BINS, cells: cellsOf({ density: 0, acceleration: offset }), problems: [] });
        expect(far.combined[4]!.sd).toBeGreaterThanOrEqual(near.combined[4]!.sd);
        // One way alone has nothing to agree with.
        expect(far.fromFuel[4]).toBeNull();
        expect(far.fromAcceleration[4]!.sd).toBeCloseTo(near.fromAcceleration[4]!.sd, 12);
      }),
    );
    const agreed = combine({ bins: BINS, cells: cellsOf({ density: 0, acceleration: 0 }), problems: [] });
    const alone = combine({ bins: BINS, cells: cellsOf({ density: 0 }), problems: [] });
    expect(agreed.combined[4]!.sd).toBeLessThan(BELIEF.share * alone.combined[4]!.sd);
  });

  it('has what misfires leave unsure in common for all that burns', () => {
    const unsure = cellsOf({ density: 0, fuel: 0 }).map((cell) => ({ ...cell, burningNoiseSd: 0.05 }));
    const { combined } = combine({ bins: BINS, cells: unsure, problems: [] });
    // Two ways do not level an error that both have: at least its share stays.
    expect(combined[4]!.sd).toBeGreaterThan(BELIEF.share * 0.85 * 0.05);
  });
});

describe('band', () => {
  it('holds eight in ten of a log-normal value: p90 over p50 is exp(1.2816 sd) (normal table)', () => {
    const band = bandOf({ logPower: Math.log(200e3), sd: 0.1 });
    expect(band.p50).toBeCloseTo(200e3, 6);
    expect(band.p90 / band.p50).toBeCloseTo(Math.exp(0.12816), 9);
    expect(band.p10 * band.p90).toBeCloseTo(band.p50 ** 2, 0);
  });
});
