// Trade-off curves: falling, exact at every point by the independent program, nothing dominated.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import type { TradeoffAnswer } from '#shared/answers/comparison.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { model } from '#engine/tables/model.ts';
import { design } from '#optimize/questions/design.ts';
import { tradingOff, undominated } from '#optimize/questions/tradeoff.ts';
import { randomBrief, type Shape } from '../support/instances.ts';
import { readingOf } from '../support/oracle-reading.ts';
import { bestOverLoads } from '../support/oracle.ts';
import { BAND, valueOf } from '../support/schedules.ts';

const SHAPE: Shape = {
  hops: 3,
  forms: 1,
  stages: ['hot_steep', 'dry_hop'],
  wishes: 3,
  beerL: 20,
  step: 5,
  smallest: 5,
};
const slacks = [0, 0.1, 0.3];
const seed = (id: string): Brief => SEED_BRIEFS.find((s) => s.id === id)!.brief;
const priced: Brief = {
  ...seed('near-empty-freezer'),
  target: seed('near-empty-freezer').target,
};

function curve(brief: Brief, against: 'closeness' | 'cost'): TradeoffAnswer {
  return valueOf(tradingOff(model, brief, against, { band: BAND, slacks }));
}

describe('weight against closeness', () => {
  it.each([4, 9])('is the least weight at each widening (seed %i)', (number) => {
    const brief = randomBrief(number, SHAPE);
    const reading = readingOf(brief);
    for (const { slack, hop_g, proof } of curve(brief, 'closeness').points) {
      const best = bestOverLoads(reading, { slack }).blend?.objective ?? Infinity;
      expect(proof.status).toBe('optimal');
      expect(hop_g).toBeGreaterThanOrEqual(best - 1e-6);
      expect(hop_g).toBeLessThanOrEqual(Math.max(best + 5, best * 1.01) + 1e-6);
      expect(proof.lower_bound).toBeLessThanOrEqual(best + 1e-6);
    }
  });

  it('falls, begins at the wishes and never misses by more than its widening', () => {
    const { points } = curve(seed('citrus-floral'), 'closeness');
    expect(points.length).toBe(slacks.length);
    points.forEach((p, i) => {
      expect(p.blend.worst_miss).toBeLessThanOrEqual(p.slack + 1e-6);
      const last = points[i - 1];
      if (!last) return;
      expect(p.hop_g).toBeGreaterThan(last.hop_g);
      expect(p.slack).toBeLessThan(last.slack);
    });
    expect(points.at(-1)!.slack).toBe(0);
  });

  it('begins at the least widening any blend allows', () => {
    const { points, why } = curve(seed('clash'), 'closeness');
    expect(points.length).toBeGreaterThan(0);
    expect(points.at(-1)!.slack).toBeGreaterThan(0.1);
    expect(why.notes.join()).toContain('No blend was found that misses by less');
  });
});

describe('weight against cost', () => {
  const { points } = curve(priced, 'cost');

  it('ends at the lightest and at the cheapest blend', () => {
    const ends = (['weight', 'cost'] as const).map((minimise) => {
      const outcome = design(model, { ...priced, minimise }, { band: BAND });
      if (!outcome.ok) throw new Error('a seed brief');
      return outcome.value.blends[0]!.totals;
    });
    expect(Math.abs(points[0]!.hop_g - ends[0]!.hop_g)).toBeLessThanOrEqual(1 + 1e-9);
    expect(points.at(-1)!.cost! / ends[1]!.cost!).toBeCloseTo(1, 1);
  });

  it('costs less wherever it weighs more, and meets every wish', () => {
    expect(points.length).toBeGreaterThan(1);
    points.forEach((p, i) => {
      expect(p.blend.misses).toEqual([]);
      expect(p.proof.lower_bound).toBeLessThanOrEqual(p.cost! + 1e-9);
      if (i === 0) return;
      expect(p.hop_g).toBeGreaterThan(points[i - 1]!.hop_g);
      expect(p.cost!).toBeLessThan(points[i - 1]!.cost!);
    });
  });
});

describe('undominated points', () => {
  it('leave no point that another beats, and lose none that no other does', () => {
    const point = fc.tuple(fc.integer({ min: 0, max: 20 }), fc.integer({ min: 0, max: 20 }));
    fc.assert(
      fc.property(fc.array(point, { maxLength: 30 }), (all) => {
        const kept = undominated(all, (p) => p);
        const beats = (a: readonly number[], b: readonly number[]) =>
          a[0]! <= b[0]! && a[1]! <= b[1]! && (a[0]! < b[0]! || a[1]! < b[1]!);
        for (const p of kept) expect(all.some((q) => beats(q, p))).toBe(false);
        for (const p of all) {
          const isFixed = kept.some((q) => q[0] === p[0] && q[1] === p[1]);
          expect(isFixed).toBe(!all.some((q) => beats(q, p)));
        }
      }),
    );
  });
});
