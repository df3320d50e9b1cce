// The blend of free doses against the whole program: at the load it is found at, its value is that of a
// cold simplex over every column, whatever was asked before; no load scanned is better. Where wishes
// clash, the least miss is where the whole program begins to have a blend.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { model } from '#engine/tables/model.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { Continuous } from '#optimize/live/continuous.ts';
import { RowsAtLoad } from '#optimize/live/load-rows.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { Simplex } from '#optimize/lp/simplex.ts';
import { problemOf } from '#optimize/problem/stating.ts';
import { loadOf, objectiveOf } from '#optimize/problem/evaluation.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { randomBrief, soundProblem } from '../support/instances.ts';
import { lotsOfOneHop } from '../support/large-lists.ts';

/** Some of the loads scanned. */
const SCANNED = [0, 0.5, 2, 4, 9, 22, 60];
const ROOM = 0.005;
/** Intensities by which rounding may move a window. */
const HAIR = 1e-6;
/** A load scanned counts as better from this share on. */
const CLEARLY = 2e-6;

function dosesIn(x: Float64Array): Doses {
  const columns = [...x.keys()].filter((j) => x[j]! > 1e-9);
  return { columns, doses: columns.map((j) => x[j]!) };
}

/** Least objective at a load with the wishes widened, over all columns; `Infinity` where none. */
function whole(asked: BlendProblem, load: number, slack: number): number {
  const cost = asked.objective.map((c) => c / Math.max(...asked.objective));
  const sides = asked.bitter?.atMost === undefined ? 1 : 1 << asked.bitter.terms.length;
  let least = Infinity;
  for (let side = 0; side < sides; side += 1) {
    const rows = new RowsAtLoad(asked, load, side);
    if (rows.ruledOut(slack)) continue;
    const simplex = new Simplex(cost, new Float64Array(cost.length), rows.upper, 1e-11);
    while (simplex.solve(rows.bounded(asked, slack), null) === 'optimal') {
      const doses = dosesIn(simplex.x);
      if (rows.activateViolated(asked, doses, slack)) continue;
      least = Math.min(least, objectiveOf(asked, doses));
      break;
    }
  }
  return least;
}

/** The problem with one wish moved. */
function moved(problem: BlendProblem, which: number, to: number): BlendProblem {
  const axes = problem.axes.map((row, a) => {
    if (a !== which % problem.axes.length) return row;
    const up = to - (row.low > -Infinity ? row.low : row.high);
    return { ...row, low: Math.max(0, row.low + up), high: row.high + up };
  });
  return { ...problem, axes };
}

const BRIEF = fc.record({
  seed: fc.integer({ min: 1, max: 1e6 }),
  hops: fc.integer({ min: 3, max: 40 }),
  wishes: fc.integer({ min: 2, max: 5 }),
  ibu: fc.boolean(),
  stock: fc.boolean(),
  minimise: fc.constantFrom('weight', 'cost', 'leaf'),
  moves: fc.array(fc.tuple(fc.nat(4), fc.double({ min: 0, max: 6, noNaN: true })), {
    minLength: 2,
    maxLength: 5,
  }),
});

describe('the blend of free doses', () => {
  it('is that of the whole program, met or missed, whatever was asked before', () => {
    let [met, missed] = [0, 0];
    const law = fc.property(BRIEF, ({ seed, hops, wishes, ibu, stock, minimise, moves }) => {
      const brief = randomBrief(seed, {
        hops,
        forms: 2,
        stages: ['mash', 'hot_steep', 'dry_hop'],
        wishes,
        beerL: 40,
        ibu,
        stock,
        minimise: minimise as 'weight' | 'cost' | 'leaf',
      });
      const stated = problemOf(model, brief);
      if (!stated.ok) throw new Error(JSON.stringify(stated.problems));
      const problem = stated.value;
      const free = new Continuous(problem);
      for (const [which, to] of moves) {
        const asked = moved(problem, which, to);
        // Given up half-way, as a drag is for a new design: nothing of it may show later.
        const dropped = free.best(asked);
        for (let step = 0; step < 1 + (seed % 4); step += 1) dropped.next();
        const best = finished(free.best(asked));
        const blend = best ? { ...best, miss: 0 } : finished(free.closest(asked, ROOM))!;
        const { miss, objective, doses } = blend;
        const load = loadOf(problem, doses);
        const loads = SCANNED.filter((l) => l <= problem.loadMax);
        const slack = miss > 0 ? miss + ROOM : 0;
        const scale = Math.max(objective, 1e-3);
        // To 1e-9, of windows a hair wider and a hair narrower: some corners are that sharp.
        expect(whole(asked, load, slack + HAIR)).toBeLessThan(objective + 1e-9 * scale);
        expect(whole(asked, load, slack - HAIR)).toBeGreaterThan(objective - 1e-9 * scale);
        for (const l of loads) {
          expect(whole(asked, l, slack)).toBeGreaterThan(objective - CLEARLY * scale);
        }
        if (miss === 0) met += 1;
        else {
          missed += 1;
          for (const l of [...loads, load]) {
            expect(whole(asked, l, miss - CLEARLY * Math.max(miss, 1e-3))).toBe(Infinity);
          }
        }
      }
    });
    fc.assert(law, { numRuns: 40, seed: 5 });
    expect(met).toBeGreaterThan(20);
    expect(missed).toBeGreaterThan(20);
  });

  it('rests after every linear program', () => {
    const problem = soundProblem(lotsOfOneHop(24));
    const free = new Continuous(problem);
    const asked = moved(problem, 0, 6);
    const part = free.closest(asked, ROOM);
    let [solved, most] = [0, 0];
    for (let step = part.next(); !step.done; step = part.next()) {
      most = Math.max(most, free.solves - solved);
      solved = free.solves;
    }
    expect(solved).toBeGreaterThan(20);
    expect(most).toBe(1);
  });
});
