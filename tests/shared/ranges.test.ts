// The ranges fields take from the schema agree with the schema itself.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { batchSchema, limitsSchema } from '#shared/schemas/brief.ts';
import { KINDS } from '#shared/stages/kinds.ts';
import { isWithin, rangeOf } from '#shared/schemas/ranges.ts';

const FIELDS = {
  beer: batchSchema.shape.beer_l,
  malt: batchSchema.shape.malt_g_per_l,
  dry_hop_temp: KINDS.dry_hop.conditions.shape.temp_c,
  hops: limitsSchema.shape.hops_at_most,
  step: limitsSchema.shape.weigh_step_g,
  ibu: limitsSchema.shape.ibu_at_most,
};

describe('ranges', () => {
  it.each(Object.entries(FIELDS))('of %s refuse exactly what the schema refuses', (_, schema) => {
    const range = rangeOf(schema);
    const near = [range.min, range.max].flatMap((edge) => [edge, edge - 0.5, edge + 0.5, edge + 1]);
    const figure = fc.oneof(
      fc.constantFrom(...near),
      fc.double({ min: -2000, max: 2_000_000, noNaN: true }),
      fc.integer({ min: -60, max: 60 }),
    );
    fc.assert(
      fc.property(figure, (value) => {
        expect(isWithin(range, value)).toBe(schema.safeParse(value).success);
      }),
    );
  });

  it('refuse what is no number', () => {
    expect(isWithin(rangeOf(FIELDS.malt), NaN)).toBe(false);
    expect(() => rangeOf(batchSchema.shape.yeast)).toThrow(TypeError);
  });
});
