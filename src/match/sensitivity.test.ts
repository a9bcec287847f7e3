import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { normalDistribution } from '../physics/index.ts';
import { normalSamples } from './sampling.ts';
import { firstOrderShares, sensitivityBasis } from './sensitivity.ts';

const everyRow = (samples: number) => Array.from({ length: samples }, (_, row) => row);

const run = (samples: number, inputs: number, seed: number, y: (z: (input: number) => number) => number) => {
  const normals = normalSamples(samples, inputs, seed);
  const answers = everyRow(samples).map((row) => y((input) => normals[row * inputs + input]!));
  return { normals, answers, found: firstOrderShares(sensitivityBasis(normals, inputs, everyRow(samples)), answers) };
};
const shareOf = (found: ReturnType<typeof run>['found'], input: number) =>
  found?.shares.find((one) => one.input === input)?.share ?? 0;

/** Independent estimate: variance of the means of classes of equal count (Plischke, Borgonovo & Smith, EJOR 226 (2013) 536). */
const byClasses = (
  normals: Float64Array,
  inputs: number,
  input: number,
  answers: readonly number[],
  classes: number,
) => {
  const order = everyRow(answers.length).sort((a, b) => normals[a * inputs + input]! - normals[b * inputs + input]!);
  const mean = answers.reduce((sum, y) => sum + y, 0) / answers.length;
  const variance = answers.reduce((sum, y) => sum + (y - mean) ** 2, 0) / answers.length;
  const size = answers.length / classes;
  let between = 0;
  for (let k = 0; k < classes; k++) {
    const members = order.slice(Math.round(k * size), Math.round((k + 1) * size));
    const own = members.reduce((sum, row) => sum + answers[row]!, 0) / members.length;
    between += (members.length / answers.length) * (own - mean) ** 2;
  }
  return between / variance;
};

describe('Ishigami function, a = 7, b = 0.1, of three of eight inputs', () => {
  // Exact, from Ishigami & Homma (1990), as printed in Saltelli et al., Global Sensitivity Analysis (2008) sect. 4.6:
  // S1 = 0.3139, S2 = 0.4424, S3 = 0; 0.2437 of the variance is joint.
  const ishigami = (samples: number) =>
    run(samples, 8, 3, (z) => {
      const x = (input: number) => -Math.PI + 2 * Math.PI * normalDistribution(z(input));
      return Math.sin(x(0)) + 7 * Math.sin(x(1)) ** 2 + 0.1 * x(2) ** 4 * Math.sin(x(0));
    });

  test('2048 samples: every index within 0.02', () => {
    const { found } = ishigami(2048);
    expect(Math.abs(shareOf(found, 0) - 0.3139)).toBeLessThan(0.02);
    expect(Math.abs(shareOf(found, 1) - 0.4424)).toBeLessThan(0.02);
    expect(shareOf(found, 2)).toBeLessThan(0.01);
    for (let input = 3; input < 8; input++) expect(shareOf(found, input)).toBeLessThan(0.01);
    expect(Math.abs((found?.rest ?? 0) - 0.2437)).toBeLessThan(0.03);
  });

  test('512 samples: within 0.05, and within three of the stated standard errors', () => {
    const { found } = ishigami(512);
    for (const [input, exact] of [
      [0, 0.3139],
      [1, 0.4424],
    ] as const) {
      const own = found?.shares.find((one) => one.input === input);
      expect(Math.abs((own?.share ?? 0) - exact)).toBeLessThan(0.05);
      expect(Math.abs((own?.share ?? 0) - exact)).toBeLessThan(3 * (own?.standardError ?? 0) + 0.005);
    }
  });

  test('agrees with the variance of class means', () => {
    const { normals, answers, found } = ishigami(4096);
    for (const input of [0, 1]) {
      expect(Math.abs(shareOf(found, input) - byClasses(normals, 8, input, answers, 64))).toBeLessThan(0.02);
    }
  });
});

describe('linear model', () => {
  test('of 100 inputs, 12 of which count: shares are the squares of the slopes (exact)', () => {
    const slopes = Array.from({ length: 12 }, (_, i) => 1 / (1 + i));
    const total = slopes.reduce((sum, slope) => sum + slope * slope, 0);
    const { found } = run(1024, 100, 7, (z) => slopes.reduce((sum, slope, i) => sum + slope * z(8 * i), 3));
    slopes.forEach((slope, i) => {
      expect(Math.abs(shareOf(found, 8 * i) - (slope * slope) / total)).toBeLessThan(0.012);
      expect(found?.shares.find((one) => one.input === 8 * i)?.slope ?? 0).toBeCloseTo(slope, 1);
    });
    expect(found?.rest ?? 1).toBeLessThan(0.02);
  });

  test('log-normal inputs multiplied: shares from the variance of each factor (exact, Saltelli et al. (2008) ch. 1)', () => {
    // y = exp(a z1 + b z2): Var(E[y|z1]) / Var(y) = (e^(a^2) - 1) / (e^(a^2+b^2) - 1).
    const [a, b] = [0.3, 0.2];
    const { found } = run(2048, 5, 11, (z) => Math.exp(a * z(1) + b * z(4)));
    const variance = Math.exp(a * a + b * b) - 1;
    expect(Math.abs(shareOf(found, 1) - (Math.exp(a * a) - 1) / variance)).toBeLessThan(0.02);
    expect(Math.abs(shareOf(found, 4) - (Math.exp(b * b) - 1) / variance)).toBeLessThan(0.02);
  });

  test('shares do not depend on the unit of the answer, and never leave nought to 1', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1000 }),
        fc.array(fc.double({ min: -2, max: 2, noNaN: true }), { minLength: 4, maxLength: 4 }),
        fc.double({ min: 1e-3, max: 1e3, noNaN: true }),
        (seed, slopes, unit) => {
          const y = (z: (input: number) => number) =>
            slopes.reduce((sum, slope, i) => sum + slope * z(i) + 0.2 * z(i) * z((i + 1) % 4), 0);
          const one = run(128, 6, seed, y).found;
          const other = run(128, 6, seed, (z) => unit * y(z)).found;
          expect(other?.shares.map(({ input }) => input)).toEqual(one?.shares.map(({ input }) => input));
          for (const { share } of one?.shares ?? []) {
            expect(share).toBeGreaterThan(0);
            expect(share).toBeLessThanOrEqual(1);
          }
        },
      ),
      { numRuns: 60, seed: 5 },
    );
  });
});

test('too few samples, or an answer that does not vary, has no shares', () => {
  expect(run(20, 4, 1, (z) => z(0)).found).toBeNull();
  expect(run(200, 4, 1, () => 3).found).toBeNull();
});

test('inputs that do nothing are seldom named: at most 6 in 100 answers of 100 such inputs', () => {
  // One in ten thousand for the line and for all terms together, a hundred inputs: 2 expected by the distribution.
  let state = 1;
  const chance = () => {
    // Minimal standard generator, Park & Miller, Comm. ACM 31 (1988) 1192.
    state = (state * 16807) % 2147483647;
    return state / 2147483647;
  };
  let named = 0;
  for (let seed = 0; seed < 100; seed++) {
    const normals = normalSamples(256, 100, 100 + seed);
    const answers = everyRow(256).map(() => Math.sqrt(-2 * Math.log(chance())) * Math.cos(2 * Math.PI * chance()));
    named += firstOrderShares(sensitivityBasis(normals, 100, everyRow(256)), answers)?.shares.length ?? 0;
  }
  expect(named).toBeLessThanOrEqual(6);
});
