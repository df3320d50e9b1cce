// Ridge regression by its normal equations, small and dense: least squares with a penalty on the weights, so that
// predictors that vary together share the weight of what they explain.

export interface Fit {
  readonly intercept: number;
  readonly weights: readonly number[];
}

/**
 * Minimises sum (y - intercept - x·weights)² + penalty · n · |weights|²; the intercept is free.
 * `rows` hold one figure per predictor, alike in scale. Penalty 0 is ordinary least squares; then
 * the predictors must not be linearly dependent (the pivots would vanish and weights be infinite).
 */
export function ridge(
  rows: readonly (readonly number[])[],
  ys: readonly number[],
  penalty: number,
): Fit {
  const n = rows.length;
  const width = rows[0]?.length ?? 0;
  const meanOf = (of: (row: readonly number[], i: number) => number) =>
    rows.reduce((sum, row, i) => sum + of(row, i), 0) / n;
  const centre = Array.from({ length: width }, (_, j) => meanOf((row) => row[j]!));
  const level = meanOf((_, i) => ys[i]!);
  const matrix = centre.map((cj, j) =>
    centre.map(
      (ck, k) => meanOf((row) => (row[j]! - cj) * (row[k]! - ck)) + (j === k ? penalty : 0),
    ),
  );
  const right = centre.map((cj, j) => meanOf((row, i) => (row[j]! - cj) * (ys[i]! - level)));
  const weights = solve(matrix, right);
  return {
    intercept: level - weights.reduce((sum, weight, j) => sum + weight * centre[j]!, 0),
    weights,
  };
}

/** Solves a symmetric positive definite system by Cholesky's factors. */
function solve(matrix: readonly (readonly number[])[], right: readonly number[]): number[] {
  const n = right.length;
  const lower = matrix.map(() => new Array<number>(n).fill(0));
  for (let i = 0; i < n; i += 1) {
    for (let j = 0; j <= i; j += 1) {
      let sum = matrix[i]![j]!;
      for (let k = 0; k < j; k += 1) sum -= lower[i]![k]! * lower[j]![k]!;
      lower[i]![j] = i === j ? Math.sqrt(sum) : sum / lower[j]![j]!;
    }
  }
  const half: number[] = [];
  for (let i = 0; i < n; i += 1) {
    const sum = half.reduce((rest, value, k) => rest - lower[i]![k]! * value, right[i]!);
    half.push(sum / lower[i]![i]!);
  }
  const solution = new Array<number>(n).fill(0);
  for (let i = n - 1; i >= 0; i -= 1) {
    let rest = half[i]!;
    for (let k = i + 1; k < n; k += 1) rest -= lower[k]![i]! * solution[k]!;
    solution[i] = rest / lower[i]![i]!;
  }
  return solution;
}
