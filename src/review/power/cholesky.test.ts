import { describe, expect, it } from 'vitest';
import { choleskyFactor, choleskySolve } from './cholesky.ts';

describe('factor of a covariance', () => {
  // Worked example in many texts: [[4,12,-16],[12,37,-43],[-16,-43,98]] = L L' with L = [[2],[6,1],[-8,5,3]]
  // (Wikipedia "Cholesky decomposition", from memory; the product is checked here by hand).
  const matrix = Float64Array.from([4, 12, -16, 12, 37, -43, -16, -43, 98]);

  it('is that of the worked example', () => {
    const factor = choleskyFactor(matrix, 3);
    expect(factor.ok && Array.from(factor.value.lower)).toEqual([2, 0, 0, 6, 1, 0, -8, 5, 3]);
  });

  it('solves for a right side made from a known answer', () => {
    const factor = choleskyFactor(matrix, 3);
    if (!factor.ok) throw new Error(factor.reason.says);
    // (1, 2, 3) times the matrix: 4 + 24 - 48, 12 + 74 - 129, -16 - 86 + 294.
    const x = choleskySolve(factor.value, [-20, -43, 192]);
    expect(x[0]).toBeCloseTo(1, 9);
    expect(x[1]).toBeCloseTo(2, 9);
    expect(x[2]).toBeCloseTo(3, 9);
  });

  it('refuses a matrix that is no covariance', () => {
    const factor = choleskyFactor(Float64Array.from([1, 2, 2, 1]), 2);
    expect(factor.ok ? '' : factor.reason.code).toBe('not-positive-definite');
  });
});
