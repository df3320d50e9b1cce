// The search against an independent mixed-integer program (oracle-proof.ts) on random briefs and the
// seed briefs: same optimum to 0.1 % or one weighing step over all dry-hop loads, bounds never above
// the truth, and the same verdict on what cannot be met. Together with exact-limits 200 random briefs.
import { describe, expect, it } from 'vitest';
import type { Brief } from '#shared/schemas/brief.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { agrees, designed, seeds, shapeOf, STAGE_SETS } from '../support/agreeing.ts';
import { objectiveOf, randomBrief, type Shape } from '../support/instances.ts';
import { QUARTER_OUNCE } from '../support/limiting.ts';
import { anyBelow } from '../support/oracle-proof.ts';
import { readingOf } from '../support/oracle-reading.ts';

const verdicts = { met: 0, unmet: 0 };

function judge(brief: Brief): void {
  verdicts[agrees(brief) ? 'met' : 'unmet'] += 1;
}

describe('against the whole mixed-integer program', () => {
  it.each(seeds(0, 26))('hot side only, brief %i', (seed) => {
    const step = seed % 5 < 3 ? 1 + (seed % 4) : undefined;
    judge(randomBrief(seed, shapeOf(seed, ['mash', 'hot_steep'], step)));
  });

  it.each(seeds(800, 10))('hot side only, many hops, brief %i', (seed) => {
    const shape: Shape = {
      hops: 24,
      forms: 2,
      stages: ['mash', 'hot_steep'],
      wishes: 3 + (seed % 4),
      beerL: 20,
      hopsAtMost: 3,
      smallest: 10,
      step: 2,
      hidden: 4,
      room: [0.02, 0.1],
      minimise: seed % 2 ? 'weight' : 'cost',
    };
    judge(randomBrief(seed, shape));
  });

  it.each(seeds(100, 24))('dry hops in whole weighing steps, brief %i', (seed) => {
    const stages = seed % 3 ? (['hot_steep', 'dry_hop'] as const) : (['mash', 'dry_hop'] as const);
    judge(randomBrief(seed, shapeOf(seed, stages, [1, 5, QUARTER_OUNCE][seed % 3])));
  });

  it.each(seeds(200, 22))('dry hops in any dose, brief %i', (seed) => {
    judge(randomBrief(seed, shapeOf(seed, STAGE_SETS[seed % 4]!, undefined)));
  });

  it.each([40, 60, 80, 100, 120, 120])('a table of %i hops', (hops) => {
    judge(
      randomBrief(900 + hops, {
        hops,
        forms: 1,
        stages: ['hot_steep', 'dry_hop'],
        wishes: 3,
        beerL: 40,
        hopsAtMost: 3,
        smallest: 10,
        step: 1,
        room: [0.2, 0.5],
      }),
    );
  });

  it.each(SEED_BRIEFS.map((s) => s.id))('the seed brief %s', (id) => {
    judge(SEED_BRIEFS.find((s) => s.id === id)!.brief);
  });

  it.each([1, 103, 204, 1020])('is asked of a proof that finds a blend, brief %i', (seed) => {
    const brief = randomBrief(
      seed,
      shapeOf(seed, ['hot_steep', 'dry_hop'], seed % 2 ? 2 : undefined),
    );
    const objective = objectiveOf(brief, designed(brief)!.blends[0]!);
    const found = anyBelow(readingOf(brief), objective * 1.001 + 0.01);
    expect(found!.objective).toBeLessThan(objective * 1.001 + 0.01);
    expect(found!.objective).toBeGreaterThan(objective * 0.998 - 2);
  });

  it('has met and unmet briefs to agree on', () => {
    expect(verdicts.met).toBeGreaterThan(70);
    expect(verdicts.unmet).toBeGreaterThan(0);
  });
});
