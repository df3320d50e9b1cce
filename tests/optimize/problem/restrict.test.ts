// A problem over a few of its columns has what counts against them and nothing else, in the same order, however
// many lots with limits of their own there are.
import { describe, expect, it } from 'vitest';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { coefOf } from '#optimize/problem/limits.ts';
import { restrictedToColumns } from '#optimize/problem/restrict.ts';
import { randomBrief, soundProblem } from '../support/instances.ts';
import { packagedBrief } from '../support/large-lists.ts';

const PROBLEMS = {
  'lots with stock of their own': soundProblem(
    randomBrief(31, {
      hops: 20,
      lotsPerHop: 3,
      forms: 2,
      stages: ['mash', 'hot_steep', 'dry_hop'],
      wishes: 3,
      beerL: 20,
      stock: true,
    }),
  ),
  'lots in packages': soundProblem(packagedBrief(9, { hops: 20, stages: ['mash', 'dry_hop'] })),
};

describe.each(Object.entries(PROBLEMS))('%s', (_, whole) => {
  it('keep their figures and limits, and what is left over of their packages', () => {
    const random = randomFrom(0.3);
    for (let draw = 0; draw < 30; draw += 1) {
      const additions = [...whole.columns.keys()].filter((j) => whole.columns[j]!.stage !== null);
      const chosen = additions.filter(() => random.uniform() < 0.1);
      const { problem, inWhole } = restrictedToColumns(whole, chosen);
      const lots = new Set(chosen.map((j) => whole.columns[j]!.lot));
      // Looked for one by one, as nothing else could be meant.
      const kept = [...whole.columns.keys()].filter((j) => {
        const { lot, stage } = whole.columns[j]!;
        return stage === null ? lots.has(lot) : chosen.includes(j);
      });
      const all = inWhole({ columns: [...problem.columns.keys()], doses: kept.map(() => 1) });
      expect(all.columns).toEqual(kept);
      expect([...problem.objective]).toEqual(kept.map((j) => whole.objective[j]));
      const counting = whole.limits.filter(
        (limit) => !limit.only || kept.some((j) => limit.only!.has(j)),
      );
      expect(problem.limits.map(({ of, most }) => ({ of, most }))).toEqual(
        counting.map(({ of, most }) => ({ of, most })),
      );
      problem.limits.forEach((limit, l) => {
        const coef = kept.map((j) => coefOf(counting[l]!, j));
        expect(kept.map((_j, k) => coefOf(limit, k))).toEqual(coef);
      });
    }
  });
});
