// Small dense systems: solved outright, and fitted by least squares with weights that are not negative.

/** Solves a square system; `null` where it is singular. */
export function solved(matrix: readonly Float64Array[], right: Float64Array): Float64Array | null {
  const n = right.length;
  const a = matrix.map((row) => Float64Array.from(row));
  const b = Float64Array.from(right);
  for (let k = 0; k < n; k += 1) {
    let pivot = k;
    for (let i = k + 1; i < n; i += 1) {
      if (Math.abs(a[i]![k]!) > Math.abs(a[pivot]![k]!)) pivot = i;
    }
    if (!(Math.abs(a[pivot]![k]!) > 1e-13)) return null;
    [a[k], a[pivot]] = [a[pivot]!, a[k]!];
    [b[k], b[pivot]] = [b[pivot]!, b[k]!];
    for (let i = k + 1; i < n; i += 1) {
      const factor = a[i]![k]! / a[k]![k]!;
      if (factor === 0) continue;
      for (let j = k; j < n; j += 1) a[i]![j]! -= factor * a[k]![j]!;
      b[i]! -= factor * b[k]!;
    }
  }
  for (let k = n - 1; k >= 0; k -= 1) {
    for (let j = k + 1; j < n; j += 1) b[k]! -= a[k]![j]! * b[j]!;
    b[k]! /= a[k]![k]!;
  }
  return b;
}

export function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let j = 0; j < a.length; j += 1) sum += a[j]! * b[j]!;
  return sum;
}

/** Least squares min |goal - sum w_k column_k| over the columns picked; `null` where dependent. */
function fitted(
  columns: readonly Float64Array[],
  goal: Float64Array,
  picked: readonly number[],
): Float64Array | null {
  const normal = picked.map((p) => Float64Array.from(picked, (q) => dot(columns[p]!, columns[q]!)));
  return solved(
    normal,
    Float64Array.from(picked, (p) => dot(columns[p]!, goal)),
  );
}

/** Non-negative least squares (Lawson and Hanson 1974, chapter 23) on unit columns. */
export function nonNegativeFit(columns: readonly Float64Array[], goal: Float64Array): Float64Array {
  const weights = new Float64Array(columns.length);
  let picked: number[] = [];
  const barred = new Set<number>();
  for (let round = 0; round < 3 * columns.length + 10; round += 1) {
    const rest = Float64Array.from(goal);
    picked.forEach((k) => columns[k]!.forEach((v, j) => (rest[j]! -= weights[k]! * v)));
    let best = -1;
    let most = 1e-11 * Math.sqrt(dot(goal, goal));
    columns.forEach((column, k) => {
      const gain = picked.includes(k) || barred.has(k) ? 0 : dot(column, rest);
      if (gain > most) [best, most] = [k, gain];
    });
    if (best < 0) break;
    picked.push(best);
    let fit = fitted(columns, goal, picked);
    if (!fit) {
      picked.pop();
      barred.add(best);
      continue;
    }
    while (fit.some((w) => w <= 0)) {
      let share = 1;
      picked.forEach((k, i) => {
        if (fit![i]! <= 0) share = Math.min(share, weights[k]! / (weights[k]! - fit![i]!));
      });
      picked.forEach((k, i) => (weights[k]! += share * (fit![i]! - weights[k]!)));
      const out = picked.filter((k) => weights[k]! <= 1e-14);
      out.forEach((k) => (weights[k] = 0));
      const before = picked.length;
      picked = picked.filter((k) => !out.includes(k));
      if (picked.length === before) break;
      fit = fitted(columns, goal, picked) ?? new Float64Array(0);
    }
    picked.forEach((k, i) => (weights[k] = fit![i] ?? weights[k]!));
  }
  return weights;
}
