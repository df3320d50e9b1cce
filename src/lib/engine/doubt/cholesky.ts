// The triangular root of a symmetric positive definite matrix (Cholesky), and what is solved with it. Our own
// sixty lines: a library's matrix class would have to be filled and read out at every step, in as many lines.

import { atOnce, MULTIPLICATIONS_PER_PART, type Parts } from './parts.ts';

/** A square matrix, row by row. */
export type Square = Float64Array;

/**
 * The sum of the products of `count` numbers of two lists. Four partial sums, which do not wait for one
 * another, take a third of the time of one.
 */
function dotFrom(
  a: Float64Array,
  at: number,
  b: Float64Array,
  from: number,
  count: number,
): number {
  let [one, two, three, four] = [0, 0, 0, 0];
  const fours = count - (count & 3);
  for (let k = 0; k < fours; k += 4) {
    one += a[at + k]! * b[from + k]!;
    two += a[at + k + 1]! * b[from + k + 1]!;
    three += a[at + k + 2]! * b[from + k + 2]!;
    four += a[at + k + 3]! * b[from + k + 3]!;
  }
  for (let k = fours; k < count; k += 1) one += a[at + k]! * b[from + k]!;
  return one + two + (three + four);
}

/** The scalar product of two lists of one length. */
export const dot = (a: Float64Array, b: Float64Array) => dotFrom(a, 0, b, 0, a.length);

/** Lower root of a symmetric matrix of `n` rows, zeros in the upper half; `null` where the matrix has no root. */
export function rootOf(matrix: Square, n: number): Square | null {
  const root = new Float64Array(n * n);
  for (let i = 0; i < n; i += 1) root.set(matrix.subarray(i * n, i * n + i + 1), i * n);
  return atOnce(rootInPlace(root, n)) ? root : null;
}

/** The same in parts, written over the lower half of the matrix; `false` where it has no root. */
export function* rootInPlace(root: Square, n: number): Parts<boolean> {
  let done = 0;
  for (let i = 0; i < n; i += 1) {
    done += (i * i) / 2;
    if (done > MULTIPLICATIONS_PER_PART) {
      yield;
      done = 0;
    }
    const own = i * n;
    for (let j = 0; j <= i; j += 1) {
      const other = j * n;
      const sum = root[own + j]! - dotFrom(root, own, root, other, j);
      if (i > j) root[own + j] = sum / root[other + j]!;
      else if (sum > 0) root[own + i] = Math.sqrt(sum);
      else return false;
    }
  }
  return true;
}

/** Solves root · x = of. */
export function solvedBelow(root: Square, n: number, of: Float64Array): Float64Array {
  const x = of.slice();
  for (let i = 0; i < n; i += 1) {
    x[i] = (x[i]! - dotFrom(root, i * n, x, 0, i)) / root[i * n + i]!;
  }
  return x;
}

/** Solves root · rootᵀ · x = of. */
export function solved(root: Square, n: number, of: Float64Array): Float64Array {
  const x = solvedBelow(root, n, of);
  for (let i = n - 1; i >= 0; i -= 1) {
    const own = (x[i]! /= root[i * n + i]!);
    for (let k = 0; k < i; k += 1) x[k]! -= root[i * n + k]! * own;
  }
  return x;
}

/** The diagonal of the inverse of root · rootᵀ. */
export function* inverseDiagonal(root: Square, n: number): Parts<Float64Array> {
  const column = new Float64Array(n);
  const diagonal = new Float64Array(n);
  let done = 0;
  for (let of = 0; of < n; of += 1) {
    done += (n - of) ** 2 / 2;
    if (done > MULTIPLICATIONS_PER_PART) {
      yield;
      done = 0;
    }
    let all = 0;
    for (let i = of; i < n; i += 1) {
      const sum = Number(i === of) - dotFrom(root, i * n + of, column, of, i - of);
      column[i] = sum / root[i * n + i]!;
      all += column[i]! ** 2;
    }
    diagonal[of] = all;
  }
  return diagonal;
}

/**
 * The strongest directions of a symmetric positive semidefinite matrix: columns whose outer products add up to
 * it, except for less than `rest` on its diagonal. Their sum never exceeds the matrix.
 */
export function directionsOf(matrix: Square, n: number, rest: number): Float64Array[] {
  const left = Float64Array.from({ length: n }, (_, i) => matrix[i * n + i]!);
  const columns: Float64Array[] = [];
  while (columns.length < n) {
    let pivot = 0;
    for (let i = 1; i < n; i += 1) if (left[i]! > left[pivot]!) pivot = i;
    if (!(left[pivot]! > rest)) break;
    const scale = 1 / Math.sqrt(left[pivot]!);
    const column = new Float64Array(n);
    for (let i = 0; i < n; i += 1) {
      let of = matrix[i * n + pivot]!;
      for (const earlier of columns) of -= earlier[i]! * earlier[pivot]!;
      column[i] = of * scale;
    }
    for (let i = 0; i < n; i += 1) left[i]! -= column[i]! ** 2;
    columns.push(column);
  }
  return columns;
}
