// Programs whose columns share caps, against the same with a row for each cap: solved, contradicted and cut
// off, cold and after other programs of the same columns.
import { describe, expect, it } from 'vitest';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { CappedProgram, type CappedGroup } from '#optimize/lp/capped-program.ts';
import { Simplex } from '#optimize/lp/simplex.ts';
import type { LpRow } from '#optimize/lp/tableau.ts';
import { EFFORT_AT_ONCE, finished } from '#optimize/pacing/clock.ts';
import { between } from '../support/instances.ts';

type Random = ReturnType<typeof randomFrom>;

interface Capped {
  readonly upper: Float64Array;
  readonly groups: readonly CappedGroup[];
}

/** Lots of up to four columns each, some under a cap that all of them together pass. */
function columnsFrom(random: Random, lots: number): Capped {
  const upper: number[] = [];
  const groups: CappedGroup[] = [];
  for (let l = 0; l < lots; l += 1) {
    const columns = Array.from({ length: 1 + Math.floor(random.uniform() * 4) }, () => {
      return upper.push(between(random, 0.2, 2)) - 1;
    });
    const all = columns.reduce((sum, j) => sum + upper[j]!, 0);
    if (random.uniform() < 0.7) groups.push({ columns, most: all * between(random, 0.2, 0.9) });
  }
  return { upper: Float64Array.from(upper), groups };
}

function rowsFrom(random: Random, upper: Float64Array, count: number): LpRow[] {
  return Array.from({ length: count }, (_, i) => {
    const coef = upper.map(() => (random.uniform() < 0.3 ? 0 : random.uniform() - (i % 3) / 9));
    const least = coef.reduce((sum, a, j) => sum + Math.min(0, a * upper[j]!), 0) - 1;
    const most = coef.reduce((sum, a, j) => sum + Math.max(0, a * upper[j]!), 0) + 1;
    const at = least + 1 + (most - least - 2) * between(random, 0, 0.7);
    // The load: one value only; the others at most or at least.
    if (i === 0) return { coef, lower: at, upper: at };
    return i % 2 ? { coef, lower: least, upper: at } : { coef, lower: at, upper: most };
  });
}

/** The least cost with a row for each cap; infinite where the rows contradict. */
function whole({ upper, groups }: Capped, open: Float64Array, cost: Float64Array, rows: LpRow[]) {
  const caps = groups.map(({ columns, most }): LpRow => {
    const coef = new Float64Array(upper.length);
    for (const j of columns) coef[j] = 1;
    return { coef, lower: -1, upper: most };
  });
  const simplex = new Simplex(cost, new Float64Array(upper.length), open);
  const status = simplex.solve([...rows, ...caps], null);
  if (status === 'infeasible') return Infinity;
  expect(status).toBe('optimal');
  return simplex.x.reduce((sum, x, j) => sum + x * cost[j]!, 0);
}

describe('a program under caps', () => {
  it('finds the least of the program with a row for each cap, or the same contradiction', () => {
    const seen = { solved: 0, contradicted: 0 };
    for (let seed = 1; seed <= 30; seed += 1) {
      const random = randomFrom(seed / 100);
      const capped = columnsFrom(random, 2 + (seed % 25));
      const { upper, groups } = capped;
      const program = new CappedProgram(upper, groups);
      for (let again = 0; again < 4; again += 1) {
        const cost = upper.map(() => between(random, -1, 1));
        const rows = rowsFrom(random, upper, 1 + (seed % 6));
        const open = upper.map((most) => (again === 2 && random.uniform() < 0.2 ? 0 : most));
        const least = whole(capped, open, cost, rows);
        const found = finished(program.least(cost, rows, open));
        if (least === Infinity) {
          expect(found).toBeNull();
          seen.contradicted += 1;
          continue;
        }
        seen.solved += 1;
        const x = new Float64Array(upper.length);
        found!.columns.forEach((j, k) => (x[j] = found!.values[k]!));
        const sumOf = (coef: Float64Array) => coef.reduce((sum, a, j) => sum + a * x[j]!, 0);
        expect(sumOf(cost)).toBeCloseTo(least, 6);
        x.forEach((value, j) => {
          expect(value).toBeGreaterThanOrEqual(0);
          expect(value).toBeLessThanOrEqual(open[j]! + 1e-9);
        });
        for (const { coef, lower, upper: most } of rows) {
          expect(sumOf(coef)).toBeGreaterThan(lower - 1e-7);
          expect(sumOf(coef)).toBeLessThan(most + 1e-7);
        }
        for (const { columns, most } of groups) {
          expect(columns.reduce((sum, j) => sum + x[j]!, 0)).toBeLessThan(most + 1e-9);
        }
        // What is no better than what is known need not be found.
        const room = 1e-4 * (1 + Math.abs(least));
        expect(finished(program.least(cost, rows, open, least - room))).toBeNull();
        expect(finished(program.least(cost, rows, open, least + room))).not.toBeNull();
      }
    }
    expect(seen.solved).toBeGreaterThan(40);
    expect(seen.contradicted).toBeGreaterThan(10);
  });

  it('rests by the work done, with thousands of caps', () => {
    const random = randomFrom(0.5);
    const { upper, groups } = columnsFrom(random, 4000);
    const cost = upper.map(() => between(random, -1, 1));
    const program = new CappedProgram(upper, groups);
    const rows = Array.from({ length: 4 }, (_, i): LpRow => {
      const coef = upper.map(() => random.uniform());
      const most = coef.reduce((sum, a, j) => sum + a * upper[j]!, 0);
      return { coef, lower: i < 2 ? 0.15 * most : -1, upper: (i < 2 ? 0.15 : 0.16) * most };
    });
    const search = program.least(cost, rows, upper);
    let step = search.next();
    let rests = 0;
    for (; !step.done; step = search.next()) rests += 1;
    expect(step.value).not.toBeNull();
    expect(rests).toBeGreaterThan(0);
    expect(program.effort.largest).toBeLessThan(1.5 * EFFORT_AT_ONCE);
    expect(program.effort.total).toBeLessThan(100 * EFFORT_AT_ONCE);
  });
});
