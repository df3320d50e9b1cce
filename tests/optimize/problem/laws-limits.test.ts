// The last gate before a blend counts: doses that take a limit up are a blend, doses that take a
// thousandth more of it are none, whichever limit it is.
import { FORMS } from '#shared/ids.ts';
import { limitName } from '#optimize/problem/limits.ts';
import { describe, expect, it } from 'vitest';
import { STAGE_KINDS } from '#shared/stages/kinds.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { meetsLimits } from '#optimize/problem/evaluation.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { between, randomBrief, soundProblem } from '../support/instances.ts';

describe('doses at the edge of a limit', () => {
  it('are a blend, and none a thousandth beyond it', () => {
    const seen = new Set<string>();
    for (let seed = 1; seed <= 40; seed += 1) {
      const brief = randomBrief(seed, {
        hops: 5,
        forms: 2,
        stages: STAGE_KINDS,
        wishes: 2,
        beerL: 20,
        stock: seed % 2 === 0,
      });
      const plain = soundProblem({
        ...brief,
        limits: {
          ...brief.limits,
          forms_per_hop_at_most: FORMS.length,
          leaf_g_per_l_after_mash_at_most: 3,
          cost_at_most: 8,
          stage_at_most_g_per_l: { mash: 2, hot_steep: 3, dry_hop: 4 },
          share_at_most: 0.5,
        },
      });
      const random = randomFrom(seed / 1e4);
      const columns = [...plain.columns.keys()];
      const doses = columns.map((j) => between(random, 0, Math.min(1, plain.columns[j]!.most)));
      for (const limit of plain.limits) {
        const only = { ...plain, limits: [limit] };
        const taken = (d: Doses) => d.doses.reduce((sum, g, k) => sum + g * limit.coef[k]!, 0);
        // Doses that take more than nothing of it, scaled or shifted until they take all of it.
        const at = (fraction: number): Doses => {
          if (limit.most > 0) {
            const scale = (limit.most * fraction) / taken({ columns, doses });
            return { columns, doses: doses.map((g) => g * scale) };
          }
          const own = (k: number) => limit.coef[k]! > 0;
          const others = doses.reduce((s, g, k) => s - (own(k) ? 0 : g * limit.coef[k]!), 0);
          const mine = doses.reduce((s, g, k) => s + (own(k) ? g * limit.coef[k]! : 0), 0);
          return {
            columns,
            doses: doses.map((g, k) => (own(k) ? (g * fraction * others) / mine : g)),
          };
        };
        const wide = { ...only, columns: only.columns.map((c) => ({ ...c, most: Infinity })) };
        expect(meetsLimits(wide, at(1)), limitName(limit.of)).toBe(true);
        expect(meetsLimits(wide, at(0.999)), limitName(limit.of)).toBe(true);
        expect(meetsLimits(wide, at(1.001)), limitName(limit.of)).toBe(false);
        seen.add(limitName(limit.of).replace(/ of .*/, ''));
      }
    }
    expect([...seen].sort()).toEqual([
      'grams_on_hand',
      'limits.cost_at_most',
      'limits.leaf_g_per_l_after_mash_at_most',
      'limits.share_at_most',
      'limits.stage_at_most_g_per_l.boil',
      'limits.stage_at_most_g_per_l.dry_hop',
      'limits.stage_at_most_g_per_l.hot_steep',
      'limits.stage_at_most_g_per_l.mash',
    ]);
  });
});
