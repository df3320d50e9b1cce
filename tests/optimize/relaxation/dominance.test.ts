// Columns dropped because another is as good: the best of what is left, by an independent program, is the
// best of all. A rule that looked the wrong way at any wish or limit would lose blends here.
import { describe, expect, it } from 'vitest';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { undominated } from '#optimize/relaxation/dominance.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { randomBrief, soundProblem } from '../support/instances.ts';
import { readingOf, type Reading } from '../support/oracle-reading.ts';
import { bestAt } from '../support/oracle.ts';

function instance(seed: number): Brief {
  const brief = randomBrief(4000 + seed, {
    hops: 3,
    lotsPerHop: 6,
    forms: 1 + (seed % 2),
    stages: ['mash', 'hot_steep'],
    wishes: 1 + (seed % 3),
    beerL: 20,
    ibu: seed % 2 === 0,
    stock: seed % 5 === 4,
    minimise: (['weight', 'cost', 'leaf'] as const)[seed % 3]!,
    ...(seed % 4 ? { hopsAtMost: 2 } : {}),
    ...(seed % 3 ? { smallest: 8 } : {}),
    ...(seed % 3 === 1 ? { step: 2 } : {}),
  });
  if (seed % 7 !== 3) return brief;
  const { limits } = brief;
  return { ...brief, limits: { ...limits, leaf_g_per_l_after_mash_at_most: 2, cost_at_most: 12 } };
}

/** What may go in, less all that is not among these columns. */
function only(reading: Reading, { columns, offers }: BlendProblem, kept: Int32Array): Reading {
  const inside = new Set<string>();
  const all = reading.brief.candidates as readonly Candidate[];
  const keyOf = (candidate: Candidate, stage: string | null) =>
    `${all.indexOf(candidate)}/${stage}`;
  for (const j of kept) inside.add(keyOf(offers[columns[j]!.lot]!.candidate, columns[j]!.stage));
  const choices = reading.choices.filter((c) => inside.has(keyOf(c.candidate, c.stage)));
  return { ...reading, choices };
}

describe('uses of the same hop at the same stage', () => {
  it('are dropped only where the best blend loses nothing', () => {
    let dropped = 0;
    for (let seed = 0; seed < 30; seed += 1) {
      const brief = instance(seed);
      const problem = soundProblem(brief);
      const reading = readingOf(brief);
      const best = bestAt(reading, 0);
      if (!best || best.objective < 1e-6) continue;
      const { objective, columns } = problem;
      const worth = best.objective * 1.001;
      const all = Int32Array.from(columns.keys());
      const kept = finished(
        undominated(problem, all, (j) => objective[j]! * columns[j]!.most >= worth),
      );
      dropped += all.length - kept.length;
      const left = bestAt(only(reading, problem, kept), 0);
      expect(left?.objective, `seed ${seed}`).toBeLessThanOrEqual(
        best.objective * (1 + 1e-5) + 1e-6,
      );
    }
    expect(dropped).toBeGreaterThan(100);
  });

  it('stay where the better one may be full', () => {
    const problem = soundProblem(instance(0));
    const all = Int32Array.from(problem.columns.keys());
    expect(finished(undominated(problem, all, () => false))).toEqual(all);
  });

  it('keep one of several that are the same', () => {
    const brief = randomBrief(4100, {
      hops: 3,
      forms: 1,
      stages: ['hot_steep'],
      wishes: 2,
      beerL: 20,
    });
    const { candidates } = brief;
    const twice = [...(candidates as object[]), ...(candidates as object[])];
    const problem = soundProblem({ ...brief, candidates: twice as typeof candidates });
    const kept = finished(
      undominated(problem, Int32Array.from(problem.columns.keys()), () => true),
    );
    expect([...kept].map((j) => problem.columns[j]!.variety)).toEqual([0, 1, 2]);
  });
});
