import { describe, expect, it } from 'vitest';
import { inverseDiagonal, leastSquares, solveSmall } from './least-squares.ts';

describe('least squares', () => {
  it('solves a small system, also where the first pivot is nought (Numerical Recipes sect. 2.1, by hand)', () => {
    const x = solveSmall([
      [0, 2, 1, 5],
      [1, 1, 1, 6],
      [2, -1, 3, 7],
    ]);
    // By hand: 2 y + z = 5, x = 6 - y - z, 2 x - y + 3 z = 7 give y = 2, z = 1, x = 3.
    expect(x[0]).toBeCloseTo(3, 12);
    expect(x[1]).toBeCloseTo(2, 12);
    expect(x[2]).toBeCloseTo(1, 12);
  });
  it('gives the straight line of a worked table (NIST/SEMATECH e-Handbook, Norris: intercept -0.262323073774029, slope 1.00211681802045)', () => {
    // NIST Statistical Reference Datasets, Norris (linear, lower difficulty): certified values.
    const y = [
      0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9,
      10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4,
      449.2, 0.2,
    ];
    const x = [
      0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5,
      11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1,
      448.9, 0.5,
    ];
    const fit = leastSquares(([a, b]) => y.map((value, i) => a! + b! * x[i]! - value), [0, 0], 100);
    expect(fit.unknowns[0]).toBeCloseTo(-0.262323073774029, 6);
    expect(fit.unknowns[1]).toBeCloseTo(1.00211681802045, 8);
    // Residual standard deviation 0.884796396144373 certified.
    expect(Math.sqrt(fit.cost / 34)).toBeCloseTo(0.884796396144373, 8);
    // Standard deviation of the intercept 0.232818234301152, of the slope 0.429796848199937e-3, certified.
    const [va = 0, vb = 0] = inverseDiagonal(fit.normal);
    expect(Math.sqrt((va * fit.cost) / 34)).toBeCloseTo(0.232818234301152, 6);
    expect(Math.sqrt((vb * fit.cost) / 34)).toBeCloseTo(0.429796848199937e-3, 8);
  });
  it('gives the curve of a published hard case (NIST StRD Misra1a: 238.94212918, 5.5015643181e-4)', () => {
    const y = [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.4, 75.47, 81.78];
    const x = [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0];
    // Unknowns of the size of one: scaled by their start.
    const fit = leastSquares(
      ([a, b]) => y.map((value, i) => 250 * a! * (1 - Math.exp(-5e-4 * b! * x[i]!)) - value),
      [1, 1],
      100,
    );
    expect(250 * fit.unknowns[0]!).toBeCloseTo(238.94212918, 3);
    expect(5e-4 * fit.unknowns[1]!).toBeCloseTo(5.5015643181e-4, 9);
    expect(fit.cost).toBeCloseTo(0.12455138894, 8);
  });
});
