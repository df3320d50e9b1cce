// Briefs nobody can meet: the least worst miss against the oracle, which bisects on the miss.
import { describe, expect, it } from 'vitest';
import { model } from '#engine/model.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import { design } from '#optimize/design.ts';
import { PROVEN_SLACK } from '#optimize/search.ts';
import { randomBrief, soundProblem } from './instances.ts';
import { bestAtLoad } from './oracle.ts';

/** The same brief with its first lower wish raised far above what the other wishes allow. */
function outOfReach(brief: Brief, seed: number): Brief {
  const target = Object.fromEntries(
    Object.keys(brief.target).map((axis, i) => [
      axis,
      i === 0 ? { at_least: 6 + (seed % 3) } : { at_most: 1 + 0.3 * i },
    ]),
  );
  return briefSchema.parse({ ...brief, target });
}

/** Least slack at which some blend at this load exists, to 1e-5. */
function leastSlack(brief: Brief, load: number): number {
  const problem = soundProblem(brief);
  let [low, high] = [0, 12];
  while (high - low > 1e-5) {
    const middle = (low + high) / 2;
    if (bestAtLoad(problem, load, { slack: middle, gap: 1 })) high = middle;
    else low = middle;
  }
  return high;
}

describe('the closest blend', () => {
  it.each(Array.from({ length: 12 }, (_, i) => 300 + i))('brief %i', (seed) => {
    const shape = {
      hops: 4 + (seed % 4),
      forms: 1,
      stages: ['mash', 'hot_steep'] as const,
      wishes: 3,
      beerL: 20,
      hopsAtMost: 2,
      smallest: 5,
      ...(seed % 2 ? { step: 5 } : {}),
    };
    const brief = outOfReach(randomBrief(seed, shape), seed);
    const outcome = design(model, brief, { band: { samples: 20, seed: 1 } });
    if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
    const truth = leastSlack(brief, 0);
    const { status, lower_bound, blends } = outcome.value;
    if (truth < 1e-4) {
      expect(status).toBe('optimal');
      return;
    }
    expect(status).toBe('closest');
    expect(blends[0]!.worst_miss).toBeGreaterThanOrEqual(truth - 2e-5);
    expect(blends[0]!.worst_miss).toBeLessThanOrEqual(truth + PROVEN_SLACK + 2e-5);
    expect(lower_bound).toBeLessThanOrEqual(truth + 2e-5);
    expect(lower_bound).toBeGreaterThanOrEqual(blends[0]!.worst_miss - PROVEN_SLACK - 2e-5);
  });

  it('widens the bitterness window by 5 IBU per intensity', () => {
    const brief = briefSchema.parse({
      batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 0 },
      stages: { hot_steep: { temp_c: 95, minutes: 30 } },
      target: { citrus: { at_least: 4 } },
      limits: { ibu_at_most: 1 },
      candidates: 'table',
    });
    const outcome = design(model, brief);
    if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
    const [blend] = outcome.value.blends;
    expect(outcome.value.status).toBe('closest');
    const ibuMiss = (blend!.totals.ibu - 1) / 5;
    expect(blend!.worst_miss).toBeGreaterThan(0.1);
    expect(Math.abs(ibuMiss - blend!.worst_miss)).toBeLessThan(2 * PROVEN_SLACK);
  });
});
