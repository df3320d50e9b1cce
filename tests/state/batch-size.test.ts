// The same beer at another size: doses stay, weights come in steps that a scale there has.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import { blendAt, briefAt } from '#state/documents/batch-size.ts';

const demo = briefSchema.parse(SEED_BRIEFS[0]!.brief);
const brief: Brief = {
  ...demo,
  batch: { ...demo.batch, beer_l: 20 },
  stages: { ...demo.stages, hot_steep: { temp_c: 80, minutes: 20, closed: false, liquor_l: 4 } },
  limits: { ...demo.limits, weigh_step_g: 1, smallest_addition_g: 5, cost_at_most: 12 },
  keep: [{ hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 33 }],
};
const own = [
  { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 33, locked: true },
  { hop: 'Saaz', form: 'pellet_90', stage: 'hot_steep', grams: 7, locked: false },
] as const;

describe('1,000 L of what was 20 L', () => {
  const large = briefAt(brief, 1000);

  it('weighs in steps of 50 g, with least addition, liquor, cost and kept hops in proportion', () => {
    expect(large.limits).toMatchObject({
      weigh_step_g: 50,
      smallest_addition_g: 250,
      cost_at_most: 600,
    });
    expect(large.stages.hot_steep).toMatchObject({ liquor_l: 200, temp_c: 80 });
    expect(large.keep![0]!.grams).toBe(1650);
    expect(large.target).toEqual(brief.target);
    expect(briefSchema.parse(large)).toEqual(large);
  });

  it('has the same doses', () => {
    expect(blendAt(own, brief, 1000).map(({ grams }) => grams)).toEqual([1650, 350]);
    expect(blendAt(own, brief, 1000)[0]!.locked).toBe(true);
  });
});

it('keeps every dose within half a weighing step, leaves out no hop, and is a sound brief', () => {
  const litres = fc.double({ min: 1, max: 20_000, noNaN: true });
  fc.assert(
    fc.property(litres, (beerL) => {
      const other = briefAt(brief, beerL);
      expect(briefSchema.safeParse(other).success).toBe(true);
      const step = other.limits.weigh_step_g!;
      expect(step).toBeLessThanOrEqual(Math.max(0.01, beerL / 20) * (1 + 1e-9));
      blendAt(own, brief, beerL).forEach(({ grams }, i) => {
        expect(grams).toBeGreaterThan(0);
        expect(Math.abs(grams - (own[i]!.grams * beerL) / 20)).toBeLessThanOrEqual(
          step / 2 + 1e-9 * grams,
        );
        expect(Math.abs(grams / step - Math.round(grams / step))).toBeLessThan(1e-6);
      });
    }),
  );
});

it('stays in free doses where nothing is weighed in steps', () => {
  const { weigh_step_g: _, ...limits } = brief.limits;
  const free = { ...brief, limits };
  expect(briefAt(free, 30).limits.weigh_step_g).toBeUndefined();
  expect(blendAt(own, free, 30)[1]!.grams).toBeCloseTo(10.5, 9);
});
