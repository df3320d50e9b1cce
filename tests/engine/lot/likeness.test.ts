// The likeness of oils: laws of log-ratios, the eigenvalues against a matrix worked by hand, and the
// map of the table.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { model } from '#engine/tables/model.ts';
import {
  COMPARED_PARTS,
  centredLogRatios,
  comparedOf,
  distance,
  hopMap,
  nearest,
  symmetricEigen,
} from '#engine/lot/likeness.ts';

const compared = model.hops.flatMap((hop) => comparedOf(hop) ?? []);
const share = fc.double({ min: 0.05, max: 100, noNaN: true });

test('log-ratios sum to zero and do not change with the scale', () => {
  fc.assert(
    fc.property(fc.array(share, { minLength: 2, maxLength: 8 }), share, (shares, factor) => {
      const ratios = centredLogRatios(shares);
      expect(ratios.reduce((sum, r) => sum + r, 0)).toBeCloseTo(0, 9);
      const scaled = centredLogRatios(shares.map((s) => s * factor));
      ratios.forEach((r, i) => expect(scaled[i]).toBeCloseTo(r, 9));
    }),
  );
});

test('the distance is a distance', () => {
  const any = fc.constantFrom(...compared);
  fc.assert(
    fc.property(any, any, any, (a, b, c) => {
      expect(distance(a, a)).toBe(0);
      expect(distance(a, b)).toBeCloseTo(distance(b, a), 12);
      expect(distance(a, c)).toBeLessThanOrEqual(distance(a, b) + distance(b, c) + 1e-12);
    }),
  );
});

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

test('the map is centred, its directions are unit vectors and carry most of the differences', () => {
  const { places, directions } = hopMap(compared);
  for (const k of [0, 1] as const) {
    expect(places.reduce((sum, { at }) => sum + at[k], 0)).toBeCloseTo(0, 9);
    const { loadings } = directions[k];
    expect(Math.hypot(...COMPARED_PARTS.map((p) => loadings[p]))).toBeCloseTo(1, 9);
    // Log-ratios sum to zero, and so must every direction among them.
    expect(COMPARED_PARTS.reduce((sum, p) => sum + loadings[p], 0)).toBeCloseTo(0, 9);
  }
  expect(directions[0].share).toBeGreaterThanOrEqual(directions[1].share);
  expect(directions[0].share + directions[1].share).toBeGreaterThan(0.6);
});

test('distances on the map never exceed those of the oil', () => {
  const { places } = hopMap(compared);
  const any = fc.constantFrom(...places);
  fc.assert(
    fc.property(any, any, (a, b) => {
      const onMap = Math.hypot(a.at[0] - b.at[0], a.at[1] - b.at[1]);
      expect(onMap).toBeLessThanOrEqual(distance(a.compared, b.compared) + 1e-9);
    }),
  );
});

test('the nearest come in order and leave out the hop itself', () => {
  fc.assert(
    fc.property(fc.constantFrom(...compared), (of) => {
      const near = nearest(of, compared, 6);
      expect(near).toHaveLength(6);
      expect(near.map((n) => n.hop.id)).not.toContain(of.hop.id);
      const far = compared.filter((c) => c !== of && !near.some((n) => n.hop === c.hop));
      expect(near.at(-1)!.distance).toBeLessThanOrEqual(
        Math.min(...far.map((c) => distance(of, c))),
      );
      expect([...near].sort((a, b) => a.distance - b.distance)).toEqual(near);
    }),
  );
});
