/** Least squares of a few unknowns: damped Gauss-Newton steps with a numeric slope, and small symmetric systems. */

/**
 * Solves a small linear system A x = b [-] by Gauss elimination with pivoting; `rows` are A with b as last entry and are
 * used up. A singular A gives large numbers, not NaN. Source: Press et al., Numerical Recipes, 3rd ed., sect. 2.2.
 */
export const solveSmall = (rows: number[][]): number[] => {
  const size = rows.length;
  for (let i = 0; i < size; i++) {
    let pivot = i;
    for (let r = i + 1; r < size; r++) if (Math.abs(rows[r]![i]!) > Math.abs(rows[pivot]![i]!)) pivot = r;
    [rows[i], rows[pivot]] = [rows[pivot]!, rows[i]!];
    const lead = rows[i]![i]! || 1e-300;
    for (let r = i + 1; r < size; r++) {
      const factor = rows[r]![i]! / lead;
      for (let c = i; c <= size; c++) rows[r]![c]! -= factor * rows[i]![c]!;
    }
  }
  const x = new Array<number>(size).fill(0);
  for (let i = size - 1; i >= 0; i--) {
    let sum = rows[i]![size]!;
    for (let c = i + 1; c < size; c++) sum -= rows[i]![c]! * x[c]!;
    x[i] = sum / (rows[i]![i]! || 1e-300);
  }
  return x;
};

/** Diagonal of the inverse of a small symmetric matrix [-]: variances from a normal matrix. Source: linear algebra. */
export const inverseDiagonal = (matrix: readonly (readonly number[])[]): number[] =>
  matrix.map((_, k) => {
    const unit = matrix.map((row, i) => [...row, i === k ? 1 : 0]);
    return Math.max(0, solveSmall(unit)[k]!);
  });

/** What is squared and summed, for unknowns. */
export type Residuals = (unknowns: readonly number[]) => readonly number[];

/** Answer of {@link leastSquares}. */
export interface LeastSquares {
  readonly unknowns: readonly number[];
  /** Sum of squares. */
  readonly cost: number;
  /** Slopes transposed times slopes at the answer; its inverse is the covariance where residuals are in standard deviations. */
  readonly normal: readonly (readonly number[])[];
}

/**
 * Least sum of squares by Levenberg's and Marquardt's rule; for a handful of unknowns of the size of one.
 *
 * @param residuals what is squared and summed [-], as many numbers at every call
 * @param start first guess of the unknowns [-]
 * @param rounds most rounds [-]
 * @param enough gain in a round, over the sum of squares, at which it stops [-]
 * @returns the unknowns, the sum of squares and the normal matrix [-]; the best found where the rounds run out
 * Source: Press et al., Numerical Recipes, 3rd ed., sect. 15.5.
 */
export const leastSquares = (
  residuals: Residuals,
  start: readonly number[],
  rounds = 40,
  enough = 1e-7,
): LeastSquares => {
  let p = [...start];
  let r = residuals(p);
  let cost = r.reduce((sum, value) => sum + value * value, 0);
  let normal: number[][] = [];
  let damping = 1e-3;
  for (let round = 0; round < rounds; round++) {
    const slopes = p.map((value, i) => {
      const step = 1e-5 * Math.max(1, Math.abs(value));
      const moved = residuals(p.map((other, k) => (k === i ? other + step : other)));
      return moved.map((m, k) => (m - r[k]!) / step);
    });
    normal = slopes.map((si) => slopes.map((sj) => si.reduce((sum, value, k) => sum + value * sj[k]!, 0)));
    const right = slopes.map((si) => -si.reduce((sum, value, k) => sum + value * r[k]!, 0));
    let gain = -1;
    for (let attempt = 0; attempt < 8 && gain < 0; attempt++) {
      const step = solveSmall(
        normal.map((row, i) => [
          ...row.map((value, k) => (i === k ? value * (1 + damping) + 1e-12 : value)),
          right[i]!,
        ]),
      );
      const tried = p.map((value, i) => value + Math.max(-1, Math.min(1, step[i]!)));
      const triedResiduals = residuals(tried);
      const triedCost = triedResiduals.reduce((sum, value) => sum + value * value, 0);
      if (triedCost < cost) {
        gain = cost - triedCost;
        p = tried;
        r = triedResiduals;
        cost = triedCost;
        damping = Math.max(1e-9, damping / 5);
      } else damping *= 6;
    }
    if (gain < enough * (1e-3 + cost)) break;
  }
  return { unknowns: p, cost, normal };
};
