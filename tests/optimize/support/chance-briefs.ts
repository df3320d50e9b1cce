// Briefs so small that every blend can be gone through: two of eight hops at two stages in a few whole steps.
import type { Brief } from '#shared/schemas/brief.ts';
import { randomBrief } from './instances.ts';

/** Most steps of one addition, of 10 g in 20 L each. */
export const STEPS = 5;

export function smallBrief(
  seed: number,
  ibu: boolean,
  counted: Partial<Brief['limits']> | null = null,
): Brief {
  const brief = randomBrief(seed, {
    hops: counted ? 5 : 8,
    forms: counted ? 2 : 1,
    stages: ['hot_steep', 'dry_hop'],
    wishes: 4,
    beerL: 20,
    hopsAtMost: 2,
    smallest: 10,
    step: 10,
    ibu,
    room: [0.05, 0.3],
  });
  const most = { hot_steep: STEPS / 2, dry_hop: STEPS / 2 };
  return { ...brief, limits: { ...brief.limits, ...counted, stage_at_most_g_per_l: most } };
}
