// Briefs nobody can meet: the least worst miss against the independent program, over all dry-hop
// loads. Wishes widened by the miss can be met, widened by less than what was proven they cannot.
import { describe, expect, it } from 'vitest';
import { STAGE_KINDS, type StageKind } from '#shared/stages/kinds.ts';
import type { DesignAnswer } from '#shared/answers/answer.ts';
import { model } from '#engine/tables/model.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import { design, designing } from '#optimize/questions/design.ts';
import { PROVEN_SLACK } from '#optimize/search/proof.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { randomBrief } from '../support/instances.ts';
import { readingOf } from '../support/oracle-reading.ts';
import { anyBelow } from '../support/oracle-proof.ts';

const BAND = { samples: 20, seed: 1 };
/** Room for the rounding of sums, in intensity. */
const ROUNDING = 2e-5;
/** Twelve without dry hops, six of those with dry hops whose independent proof is short. */
const SEEDS = [
  ...Array.from({ length: 12 }, (_, i) => 300 + 3 * i),
  ...[302, 305, 307, 313, 320, 322],
];
/** Room that keeps the independent proof over all loads short, in intensity. */
const ROOM = PROVEN_SLACK;
const STAGE_SETS: readonly (readonly StageKind[])[] = [
  ['mash', 'hot_steep'],
  ['hot_steep', 'dry_hop'],
  STAGE_KINDS,
];

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

function designed(brief: Brief): DesignAnswer {
  const outcome = design(model, brief, { band: BAND });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}

function isPossible(brief: Brief, slack: number): boolean {
  return anyBelow(readingOf(brief), Infinity, { slack }) !== null;
}

/** Largest miss of a blend; 5 IBU count as one intensity. */
function missOf({ blends: [blend] }: DesignAnswer): number {
  const ibu = blend!.misses.filter((m) => m.wish.startsWith('limits.ibu')).map((m) => m.by / 5);
  return Math.max(blend!.worst_miss, ...ibu);
}

describe('the closest blend', () => {
  it.each(SEEDS)('brief %i', (seed) => {
    const shape = {
      hops: 4 + (seed % 4),
      forms: 1,
      stages: STAGE_SETS[seed % 3]!,
      wishes: 3,
      beerL: 20,
      hopsAtMost: 2,
      smallest: 5,
      ibu: seed % 5 === 0,
      ...(seed % 2 ? { step: 5 } : {}),
    };
    const brief = outOfReach(randomBrief(seed, shape), seed);
    const answer = designed(brief);
    const possible = isPossible(brief, 0);
    expect(answer.status === 'closest').toBe(!possible);
    if (possible) return;
    const miss = missOf(answer);
    expect(isPossible(brief, miss + ROUNDING)).toBe(true);
    expect(answer.lower_bound).toBeLessThanOrEqual(miss + ROUNDING);
    expect(miss - answer.lower_bound).toBeLessThanOrEqual(PROVEN_SLACK + ROUNDING);
    const room = shape.stages.includes('dry_hop') ? ROOM : ROUNDING;
    expect(isPossible(brief, answer.lower_bound - room)).toBe(false);
  });

  it('of the clashing brief of the workspace', () => {
    const { brief } = SEED_BRIEFS.find((s) => s.id === 'clash')!;
    const answer = designed(brief);
    expect(answer.status).toBe('closest');
    expect(answer.lower_bound).toBeGreaterThanOrEqual(missOf(answer) - PROVEN_SLACK - ROUNDING);
    expect(isPossible(brief, answer.lower_bound - ROOM)).toBe(false);
  });

  it('is told while it is sought, and ends by itself where nothing lighter comes as near', () => {
    const { brief: seed } = SEED_BRIEFS.find((s) => s.id === 'tropical')!;
    const target = { ...seed.target, woody_earthy: { at_least: 4.5 } };
    // A clock of steps, no time limit: to prove the lightest would take it over ten times as many.
    let steps = 0;
    const now = () => (steps += 1);
    const work = designing(model, { ...seed, target }, { band: BAND, now });
    const misses: number[] = [];
    let next = work.next();
    for (; !next.done; next = work.next()) {
      expect(next.value.best).toBeNull();
      if (next.value.miss !== undefined) misses.push(Number(next.value.miss.toFixed(6)));
      expect(steps).toBeLessThan(5000);
    }
    if (!next.value.ok) throw new Error(JSON.stringify(next.value.problems));
    expect(next.value.value.status).toBe('closest');
    expect(misses.length).toBeGreaterThan(2);
    expect(misses).toEqual([...misses].sort((a, b) => b - a));
    expect(misses.at(-1)).toBeCloseTo(missOf(next.value.value), 6);
  });

  it('widens the bitterness window by 5 IBU per intensity', () => {
    const brief = briefSchema.parse({
      batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 0 },
      stages: { hot_steep: { temp_c: 95, minutes: 30 } },
      target: { citrus: { at_least: 4 } },
      limits: { ibu_at_most: 1 },
      candidates: 'table',
    });
    const answer = designed(brief);
    const [blend] = answer.blends;
    expect(answer.status).toBe('closest');
    const ibuMiss = (blend!.totals.ibu - 1) / 5;
    expect(blend!.worst_miss).toBeGreaterThan(0.1);
    expect(Math.abs(ibuMiss - blend!.worst_miss)).toBeLessThan(2 * PROVEN_SLACK);
  });
});
