// The inverse of a basis holds whatever columns are asked into it: dependent ones, doubled ones, ones
// whose figures are far apart; and the simplex above it ends with a bound that holds.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Inverse } from '#optimize/lp/inverse.ts';
import { Simplex } from '#optimize/lp/simplex.ts';
import type { LpRow } from '#optimize/lp/tableau.ts';

/** Figures that depend on each other often: few values, some of them huge or tiny. */
const figure = fc.oneof(
  { weight: 6, arbitrary: fc.integer({ min: -2, max: 2 }) },
  { weight: 1, arbitrary: fc.constantFrom(1e6, -1e6, 1e-6, 1e-9, 0.3333333333) },
);
const matrix = fc
  .tuple(fc.integer({ min: 1, max: 8 }), fc.integer({ min: 1, max: 12 }))
  .chain(([m, n]) =>
    fc.array(fc.array(figure, { minLength: n, maxLength: n }), { minLength: m, maxLength: m }),
  );

function rowsOf(figures: readonly (readonly number[])[]): LpRow[] {
  return figures.map((row) => ({ coef: Float64Array.from(row), lower: -3, upper: 4 }));
}

/** Largest entry of inverse * basis - identity. */
function residual(inverse: Inverse, rows: readonly LpRow[]): number {
  const { size, stride, values, basic } = inverse;
  let worst = 0;
  for (let k = 0; k < size; k += 1) {
    for (let p = 0; p < size; p += 1) {
      const v = basic[p]!;
      let sum = 0;
      let scale = 1;
      for (let i = 0; i < size; i += 1) {
        const entry = v >= 0 ? rows[i]!.coef[v]! : i === -1 - v ? -1 : 0;
        sum += values[k * stride + i]! * entry;
        scale = Math.max(scale, Math.abs(values[k * stride + i]! * entry));
      }
      worst = Math.max(worst, Math.abs(sum - (k === p ? 1 : 0)) / scale);
    }
  }
  return worst;
}

describe('the inverse of a basis', () => {
  it('is one, whatever columns are asked in, each at most once', () => {
    fc.assert(
      fc.property(matrix, fc.array(fc.nat(11), { maxLength: 16 }), (figures, asked) => {
        const rows = rowsOf(figures);
        const inverse = new Inverse();
        inverse.reset(rows.length);
        const free = new Uint8Array(rows.length).fill(1);
        for (const j of asked) if (j < figures[0]!.length) inverse.bring(j, rows, free);
        const basic = [...inverse.basic.subarray(0, rows.length)];
        expect(new Set(basic).size).toBe(rows.length);
        expect(residual(inverse, rows)).toBeLessThan(1e-6);
      }),
      { numRuns: 500, seed: 7 },
    );
  });

  it('takes further rows', () => {
    fc.assert(
      fc.property(matrix, fc.array(fc.nat(11), { maxLength: 16 }), (figures, asked) => {
        const rows = rowsOf(figures);
        const before = rows.slice(0, Math.ceil(rows.length / 2));
        const inverse = new Inverse();
        inverse.reset(before.length);
        const free = new Uint8Array(before.length).fill(1);
        for (const j of asked) if (j < figures[0]!.length) inverse.bring(j, before, free);
        inverse.border(rows);
        expect(residual(inverse, rows)).toBeLessThan(1e-6);
      }),
      { numRuns: 300, seed: 7 },
    );
  });
});

describe('the simplex', () => {
  it('starts from any basis at all and ends where it ends from none', () => {
    const basis = fc.array(fc.integer({ min: -12, max: 14 }), { maxLength: 9 });
    fc.assert(
      fc.property(matrix, basis, (figures, asked) => {
        const n = figures[0]!.length;
        const rows = rowsOf(figures);
        const cost = Float64Array.from({ length: n }, (_, j) => 1 + (j % 3));
        const lower = new Float64Array(n);
        const upper = new Float64Array(n).fill(10);
        const needed = rows.map((row, i) => ({ ...row, lower: i === 0 ? 1 : -3 }));
        const cold = new Simplex(cost, lower, upper);
        const warm = new Simplex(cost, lower, upper);
        const status = cold.solve(needed, null);
        const from = Int32Array.from(asked.map((v) => Math.max(v, -needed.length)));
        expect(warm.solve(needed, from)).toBe(status);
        if (status !== 'optimal') return;
        expect(warm.bound).toBeCloseTo(cold.bound, 4);
        expect(Number.isFinite(warm.bound)).toBe(true);
      }),
      { numRuns: 500, seed: 7 },
    );
  });

  it('says so where figures are not numbers, with a bound that claims nothing', () => {
    const coef = Float64Array.of(NaN, 1);
    const simplex = new Simplex(Float64Array.of(1, 1), new Float64Array(2), Float64Array.of(5, 5));
    const status = simplex.solve([{ coef, lower: 1, upper: 4 }], Int32Array.of(0));
    if (status !== 'infeasible') expect(simplex.bound).toBeLessThanOrEqual(1);
    expect(status).not.toBe('infeasible');
  });
});
