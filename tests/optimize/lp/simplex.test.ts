// The kept linear program against HiGHS: cold and after changed boxes, solved and infeasible.
import { describe, expect, it } from 'vitest';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { Simplex } from '#optimize/lp/simplex.ts';
import type { Basis, LpRow } from '#optimize/lp/tableau.ts';
import { between } from '../support/instances.ts';
import { highs } from '../support/oracle-program.ts';

interface Program {
  readonly cost: Float64Array;
  readonly upper: Float64Array;
  readonly rows: LpRow[];
}

function randomProgram(seed: number): Program {
  const random = randomFrom(seed / 1e4);
  const n = 4 + Math.floor(random.uniform() * 120);
  const m = 1 + Math.floor(random.uniform() * 22);
  const cost = Float64Array.from({ length: n }, () => between(random, 0.5, 1.5));
  const upper = Float64Array.from({ length: n }, () =>
    random.uniform() < 0.1 ? 0 : between(random, 1, 20),
  );
  const rows = Array.from({ length: m }, (_, i): LpRow => {
    const shift = i % 7 === 6 ? 0.2 : 0;
    const coef = Float64Array.from({ length: n }, () =>
      random.uniform() < 0.3 ? 0 : random.uniform() ** 3 - shift,
    );
    const least = coef.reduce((sum, c, j) => sum + Math.min(0, c * upper[j]!), 0) - 1;
    const most = coef.reduce((sum, c, j) => sum + Math.max(0, c * upper[j]!), 0) + 1;
    const at = between(random, 0, 8);
    const width = between(random, 0, 2);
    if (i % 3 === 0)
      return { coef, lower: least, upper: Math.max(least, Math.min(most, at + width)) };
    return {
      coef,
      lower: Math.min(most, at),
      upper: i % 3 === 1 ? most : Math.max(most, at + width),
    };
  });
  return { cost, upper, rows };
}

/** HiGHS's optimum over the same boxes and rows; infinite if infeasible. */
function reference({ cost, rows }: Program, lower: Float64Array, upper: Float64Array): number {
  const starts = [0];
  const indices: number[] = [];
  const values: number[] = [];
  for (const { coef } of rows) {
    coef.forEach((value, j) => {
      if (value === 0) return;
      indices.push(j);
      values.push(value);
    });
    starts.push(indices.length);
  }
  const model = highs.createModel({
    numCols: cost.length,
    numRows: rows.length,
    colCost: cost,
    colLower: lower,
    colUpper: upper,
    rowLower: rows.map((r) => r.lower),
    rowUpper: rows.map((r) => r.upper),
    matrix: { format: 'csr', numRows: rows.length, numCols: cost.length, starts, indices, values },
  });
  try {
    model.options.set({ output_flag: false });
    model.run();
    const optimal = model.getModelStatus() === highs.constants.modelStatus.optimal;
    return optimal ? model.getObjectiveValue() : Infinity;
  } finally {
    model.dispose();
  }
}

describe('the simplex', () => {
  it('agrees with HiGHS, cold and warm, on 200 random programs', () => {
    let solved = 0;
    let infeasible = 0;
    for (let seed = 1; seed <= 200; seed += 1) {
      const program = randomProgram(seed);
      const random = randomFrom(seed / 7e3);
      const { cost, upper, rows } = program;
      const simplex = new Simplex(cost, new Float64Array(cost.length), upper);
      let basis: Basis | null = null;
      for (let turn = 0; turn < 5; turn += 1) {
        const status = simplex.solve(rows, basis);
        basis = simplex.basis();
        const truth = reference(program, simplex.lower, simplex.upper);
        if (truth === Infinity) {
          expect(status).toBe('infeasible');
          infeasible += 1;
          break;
        }
        expect(status).toBe('optimal');
        solved += 1;
        const value = simplex.x.reduce((sum, x, j) => sum + x * cost[j]!, 0);
        expect(Math.abs(value - truth)).toBeLessThan(1e-6 * (1 + truth));
        expect(Math.abs(simplex.bound - truth)).toBeLessThan(1e-6 * (1 + truth));
        for (const { coef, lower, upper: most } of rows) {
          const activity = coef.reduce((sum, c, j) => sum + c * simplex.x[j]!, 0);
          expect(activity).toBeGreaterThan(lower - 1e-6);
          expect(activity).toBeLessThan(most + 1e-6);
        }
        const used = [...simplex.x.keys()].filter((j) => simplex.x[j]! > 1e-6 && !simplex.lower[j]);
        const j = used[Math.floor(random.uniform() * used.length)];
        if (j === undefined) break;
        if (random.uniform() < 0.7) simplex.upper[j] = 0;
        else simplex.lower[j] = Math.min(simplex.upper[j]!, simplex.x[j]! + 0.5);
      }
    }
    expect(solved).toBeGreaterThan(300);
    expect(infeasible).toBeGreaterThan(20);
  });

  it('gives a bound that holds when it is cut short', () => {
    for (let seed = 1; seed <= 100; seed += 1) {
      const program = randomProgram(seed);
      const { cost, upper, rows } = program;
      const lower = new Float64Array(cost.length);
      const truth = reference(program, lower, upper);
      if (truth === Infinity || truth === 0) continue;
      const simplex = new Simplex(cost, lower, upper);
      const status = simplex.solve(rows, null, truth * 0.5);
      expect(status).toBe('cutoff');
      expect(simplex.bound).toBeGreaterThan(truth * 0.5 - 1e-9);
      expect(simplex.bound).toBeLessThanOrEqual(truth * (1 + 1e-9) + 1e-9);
    }
  });
});
