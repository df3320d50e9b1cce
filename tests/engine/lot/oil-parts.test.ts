// The parts of an oil never exceed the whole, at the centre as in the draws: an analysis of one part
// leaves less room to what the table says of the others, and what adds up to more is refused.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { COMPOUNDS, OIL_COMPOUNDS, analyteOf } from '#shared/ids.ts';
import { check } from '#shared/reading/check.ts';
import { additionSchema, analysisSchema, type Analysis } from '#shared/schemas/lot.ts';
import { agedFigures } from '#engine/lot/ageing.ts';
import { predict } from '#engine/answer/answer.ts';
import { lotOf, type Lot } from '#engine/lot/composition.ts';
import { model } from '#engine/tables/model.ts';
import { doubtOf } from '#engine/doubt/tornado.ts';
import { scheduleOf, soundDesign } from '../support/examples.ts';
import { oilShares } from '../support/numbers.ts';

function lotWith(analysis: Analysis): Lot {
  const storage = { months: 12, temp_c: 4, packed: 'sealed' } as const;
  const lot = lotOf(model, { hop: 'Saaz', form: 'pellet_90', analysis, storage });
  if (!lot.ok) throw new Error('no lot');
  return lot.value;
}

const sharesOf = (lot: Lot) => oilShares(lot).map(([share]) => share!);

/** Analyses of a few parts that stay below the whole. */
const analyses = fc
  .tuple(
    fc.subarray([...OIL_COMPOUNDS], { minLength: 1, maxLength: 5 }),
    fc.array(fc.double({ min: 0.01, max: 1, noNaN: true }), { minLength: 5, maxLength: 5 }),
    fc.double({ min: 1, max: 100, noNaN: true }),
  )
  .map(([parts, weights, whole]) => {
    const sum = parts.reduce((s, _, i) => s + weights[i]!, 0);
    return Object.fromEntries(parts.map((c, i) => [analyteOf(c), (whole * weights[i]!) / sum]));
  }) as fc.Arbitrary<Analysis>;

describe('the central figures of a lot with an analysis of parts of its oil', () => {
  it('keep what was analysed and never exceed the whole', () => {
    fc.assert(
      fc.property(analyses, (analysis) => {
        const shares = sharesOf(lotWith(analysis));
        const whole = shares.reduce((s, share) => s + share, 0);
        expect(whole).toBeLessThanOrEqual(100 + 1e-9);
        OIL_COMPOUNDS.forEach((c, i) => {
          const own = analysis[`${c}_pct_of_oil`];
          if (own !== undefined) expect(shares[i]).toBeCloseTo(own, 9);
        });
      }),
    );
  });

  it('leave the table as it is where there is room', () => {
    const plain = sharesOf(lotWith({}));
    const shares = sharesOf(lotWith({ linalool_pct_of_oil: 0.8 }));
    OIL_COMPOUNDS.forEach((c, i) => {
      if (c !== 'linalool') expect(shares[i]).toBeCloseTo(plain[i]!, 12);
    });
  });

  it('lie inside the band of their own draws', () => {
    const addition = { hop: 'Saaz', form: 'pellet_90', stage: 'dry_hop', grams: 50 } as const;
    const analysis = { myrcene_pct_of_oil: 90 };
    const design = soundDesign(scheduleOf([{ ...addition, analysis }]));
    const { compounds } = predict(model, design);
    for (const c of COMPOUNDS) {
      expect(compounds[c].ug_per_l, c).toBeGreaterThanOrEqual(compounds[c].low * (1 - 1e-9));
      expect(compounds[c].ug_per_l, c).toBeLessThanOrEqual(compounds[c].high * (1 + 1e-9));
    }
    const { floral } = doubtOf(model, design);
    const myrcene = floral.swings.find(({ id }) => id === 'myrcene_pct_of_oil')!;
    expect(myrcene.at_low).toBeGreaterThan(myrcene.at_high);
  });

  it('are what storage takes from', () => {
    const [plain, tight] = [{}, { myrcene_pct_of_oil: 90 }].map((analysis) =>
      agedFigures(model, lotWith(analysis)).find(({ figure }) => figure === 'humulene'),
    );
    expect(tight!.stated).toBeLessThan(plain!.stated / 2);
    expect(tight!.left).toBeCloseTo(plain!.left, 12);
  });
});

it('refuses an analysis whose parts of oil add up to more than there is', () => {
  const parts = { myrcene_pct_of_oil: 60, humulene_pct_of_oil: 40 };
  expect(check(parts, analysisSchema).ok).toBe(true);
  const analysis = { ...parts, linalool_pct_of_oil: 0.5 };
  const addition = { hop: 'Saaz', form: 'cone', stage: 'mash', grams: 1, analysis };
  const outcome = check(addition, additionSchema);
  expect(outcome.ok ? [] : outcome.problems).toEqual([
    {
      path: 'analysis',
      message: 'the parts of the oil add up to more than 100 %',
      cure: 'Correct the figures in % of oil: together they cannot exceed 100',
    },
  ]);
});
