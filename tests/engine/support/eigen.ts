// Eigenvalues of a small symmetric matrix, for tests that ask in how many directions something differs.

/**
 * Eigenvalues and eigenvectors of a small symmetric matrix by Jacobi rotations (Golub and Van Loan,
 * Matrix Computations, section 8.5; from memory), largest eigenvalue first.
 */
export function symmetricEigen(
  matrix: readonly (readonly number[])[],
): { readonly value: number; readonly vector: readonly number[] }[] {
  const n = matrix.length;
  const a = matrix.map((row) => [...row]);
  const v = a.map((_, i) => a.map((__, j) => (i === j ? 1 : 0)));
  const size = Math.hypot(...a.flat());
  const off = () => Math.hypot(...a.flatMap((row, i) => row.filter((_, j) => j !== i)));
  while (off() > 1e-14 * size) {
    for (let p = 0; p < n - 1; p += 1) {
      for (let q = p + 1; q < n; q += 1) {
        const [pp, qq, pq] = [a[p]![p]!, a[q]![q]!, a[p]![q]!];
        if (pq === 0) continue;
        const tau = (qq - pp) / (2 * pq);
        const t = tau === 0 ? 1 : Math.sign(tau) / (Math.abs(tau) + Math.hypot(1, tau));
        const c = 1 / Math.hypot(1, t);
        const s = t * c;
        const turn = (x: number[][], i: number, columns: boolean) => {
          const [first, second] = columns ? [x[i]![p]!, x[i]![q]!] : [x[p]![i]!, x[q]![i]!];
          const [one, two] = [c * first - s * second, s * first + c * second];
          if (columns) [x[i]![p], x[i]![q]] = [one, two];
          else [x[p]![i], x[q]![i]] = [one, two];
        };
        for (let i = 0; i < n; i += 1) turn(a, i, true);
        for (let i = 0; i < n; i += 1) turn(a, i, false);
        for (let i = 0; i < n; i += 1) turn(v, i, true);
      }
    }
  }
  return a
    .map((row, j) => ({ value: row[j]!, vector: v.map((vi) => vi[j]!) }))
    .sort((x, y) => y.value - x.value);
}
