/** Solving with covariances: small, dense, symmetric positive definite. */
import { type Solved, solved, unsolved } from '../../physics/index.ts';

/** Lower triangle of a covariance, row by row: `factor[i * size + j]`, j <= i. */
export interface CholeskyFactor {
  readonly size: number;
  readonly lower: Float64Array;
}

/**
 * Factor L of a symmetric positive definite matrix A = L L'.
 *
 * @param matrix A [any unit squared], row by row, size x size, symmetric
 * @param size rows [-]
 * @returns the factor. Reason: `not-positive-definite`.
 * Source: Golub & Van Loan, Matrix Computations, 4th ed. (2013), algorithm 4.2.1.
 */
export const choleskyFactor = (matrix: Float64Array, size: number): Solved<CholeskyFactor> => {
  const lower = new Float64Array(size * size);
  for (let i = 0; i < size; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * size + j]!;
      for (let k = 0; k < j; k++) sum -= lower[i * size + k]! * lower[j * size + k]!;
      if (i === j) {
        if (!(sum > 0)) return unsolved('not-positive-definite', 'The covariance is not positive definite.');
        lower[i * size + i] = Math.sqrt(sum);
      } else lower[i * size + j] = sum / lower[j * size + j]!;
    }
  }
  return solved({ size, lower });
};

/** Solves A x = b with the factor of A [any unit]. `right` has the size of the factor; returns x. Source: forward and back substitution. */
export const choleskySolve = ({ size, lower }: CholeskyFactor, right: ArrayLike<number>): Float64Array => {
  const x = new Float64Array(size);
  for (let i = 0; i < size; i++) {
    let sum = right[i]!;
    for (let k = 0; k < i; k++) sum -= lower[i * size + k]! * x[k]!;
    x[i] = sum / lower[i * size + i]!;
  }
  for (let i = size - 1; i >= 0; i--) {
    let sum = x[i]!;
    for (let k = i + 1; k < size; k++) sum -= lower[k * size + i]! * x[k]!;
    x[i] = sum / lower[i * size + i]!;
  }
  return x;
};
