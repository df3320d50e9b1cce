// The eigenvalues against a matrix worked by hand, and against what they must make again.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { symmetricEigen } from './eigen.ts';

test('eigenvalues of a matrix worked by hand', () => {
  // [[2, 1], [1, 2]]: (2 - x)^2 = 1, so 3 along (1, 1) and 1 along (1, -1).
  const [first, second] = symmetricEigen([
    [2, 1],
    [1, 2],
  ]);
  expect(first!.value).toBeCloseTo(3, 12);
  expect(second!.value).toBeCloseTo(1, 12);
  expect(Math.abs(first!.vector[0]!)).toBeCloseTo(Math.SQRT1_2, 12);
  expect(first!.vector[0]! * first!.vector[1]!).toBeCloseTo(0.5, 12);
});

test('eigenvectors reproduce any symmetric matrix', () => {
  const entry = fc.double({ min: -10, max: 10, noNaN: true });
  const rows = fc.array(fc.array(entry, { minLength: 5, maxLength: 5 }), {
    minLength: 5,
    maxLength: 5,
  });
  fc.assert(
    fc.property(rows, (square) => {
      const matrix = square.map((row, i) => row.map((x, j) => (x + square[j]![i]!) / 2));
      const eigen = symmetricEigen(matrix);
      matrix.forEach((row, i) =>
        row.forEach((x, j) => {
          const made = eigen.reduce((s, e) => s + e.value * e.vector[i]! * e.vector[j]!, 0);
          expect(made).toBeCloseTo(x, 8);
        }),
      );
    }),
  );
});
