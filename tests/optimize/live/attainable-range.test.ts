// How far an axis can go: truly reached by the engine's own prediction with every limit kept, no further
// than the exact search allows, and never less where a limit falls away.
import { describe, expect, it } from 'vitest';
import type { Brief } from '#shared/schemas/brief.ts';
import { AXES } from '#shared/ids.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { intensityOf } from '#engine/predict/smell.ts';
import { model } from '#engine/tables/model.ts';
import { additionsOf, checkedPoint } from '#optimize/problem/check.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { design } from '#optimize/questions/design.ts';
import { RangeSolver, reaching, statingFree } from '#optimize/live/attainable-range.ts';
import { randomBrief } from '../support/instances.ts';
import { lotsAlike } from '../support/large-lists.ts';

const shape = {
  hops: 10,
  forms: 2,
  stages: ['mash', 'hot_steep', 'dry_hop'],
  wishes: 2,
  beerL: 30,
  stock: true,
  minimise: 'weight',
} as const;
const drawn = [0, 1, 2].map((i) => randomBrief(8300 + i, { ...shape, ibu: i % 2 === 0 }));
const briefs = [...SEED_BRIEFS.map((s) => s.brief), ...drawn];

/** Without wishes, and without what free doses know nothing of. */
function bare(brief: Brief): Brief {
  const limits = { ...brief.limits };
  delete limits.hops_at_most;
  delete limits.additions_at_most;
  delete limits.smallest_addition_g;
  delete limits.weigh_step_g;
  return { ...brief, limits, target: {} };
}
function reachOf(brief: Brief) {
  const reach = finished(reaching(model, brief));
  if (!reach.ok) throw new Error(JSON.stringify(reach.problems));
  return reach.value;
}

const NO_HOPS = { documents: [], lots: [], chosen: [] };

describe('reach of the axes', () => {
  it('ends where it is stopped or out of time, and says so', () => {
    const late = finished(reaching(model, briefs[0]!, { timeLimitMs: -1 }));
    expect(late.ok ? [] : late.problems.map(({ cure }) => cure)).toEqual(['Ask again']);
  });

  it('is reached by doses that keep the limits, as the engine predicts them', () => {
    for (const brief of briefs) {
      const stated = finished(statingFree(model, brief));
      if (!stated.ok) throw new Error(JSON.stringify(stated.problems));
      const problem = stated.value;
      const axes = new RangeSolver(problem);
      for (const row of problem.axes) {
        for (const sign of [1, -1] as const) {
          const end = finished(axes.end(row, sign))!;
          const free = bare(brief);
          const additions = additionsOf(problem, free, end.doses);
          const blend = checkedPoint(model, free, additions, 1e-5);
          expect(blend.misses).toEqual([]);
          const said = intensityOf(end.signal, problem.values);
          expect(blend.axes[row.axis].intensity).toBeCloseTo(said, 4);
        }
      }
    }
  });

  it('takes no longer for the stock of each of many lots', () => {
    const rests = (lots: number) => {
      const stated = finished(statingFree(model, lotsAlike(lots)));
      if (!stated.ok) throw new Error(JSON.stringify(stated.problems));
      const axes = new RangeSolver(stated.value);
      const row = stated.value.axes[0]!;
      let count = 0;
      for (const sign of [1, -1] as const) {
        const search = axes.end(row, sign);
        for (let step = search.next(); ; step = search.next(), count += 1) {
          if (!step.done) continue;
          expect(step.value).not.toBeNull();
          break;
        }
      }
      return count;
    };
    expect(rests(800)).toBeLessThan(2 * rests(40));
  });

  it('starts from the beer without hops, as the engine predicts it', () => {
    for (const brief of [briefs[0]!, ...drawn]) {
      const reach = reachOf(brief);
      const bareBeer = checkedPoint(model, bare(brief), NO_HOPS);
      for (const axis of AXES) {
        expect(reach[axis].unhopped).toBeCloseTo(bareBeer.axes[axis].intensity, 6);
      }
    }
  });

  it('is not passed by the exact search', () => {
    let asked = 0;
    for (const brief of drawn) {
      const reach = reachOf(brief);
      for (const axis of ['tropical', 'citrus', 'floral'] as const) {
        const { most } = reach[axis];
        if (most > 9.8) continue;
        const target = { [axis]: { at_least: most + 0.1 } };
        const beyond = design(model, { ...bare(brief), target }, { timeLimitMs: 60_000 });
        if (!beyond.ok) throw new Error(JSON.stringify(beyond.problems));
        expect(beyond.value.status).toBe('closest');
        asked += 1;
      }
    }
    expect(asked).toBeGreaterThan(2);
  });

  it('never shrinks where a limit falls away', () => {
    for (const brief of drawn) {
      const limits = { ...brief.limits, stage_at_most_g_per_l: { dry_hop: 4, hot_steep: 2 } };
      const tight = reachOf({ ...brief, limits });
      const wide = reachOf(brief);
      for (const row of Object.keys(tight) as (keyof typeof tight)[]) {
        expect(wide[row].most).toBeGreaterThanOrEqual(tight[row].most - 1e-3);
        expect(wide[row].least).toBeLessThanOrEqual(tight[row].least + 1e-3);
      }
    }
  });
});
