// What storage takes from hops: the published losses worked by hand, which figures age by what, and the
// law that age never raises a figure, but for the bitterness of dry hops.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { agedFigures } from '#engine/lot/ageing.ts';
import { lotOf, type LotSpec } from '#engine/lot/composition.ts';
import { lotKey } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { COMPOUNDS, FORMS } from '#shared/ids.ts';
import { STAGE_KINDS } from '#shared/stages/kinds.ts';
import { check } from '#shared/reading/check.ts';
import { PACKINGS, storageSchema, type Storage } from '#shared/schemas/lot.ts';
import { scheduleOf, soundDesign } from '../support/examples.ts';
import { alphaLossRate, leftAtStorageIndex } from '../support/numbers.ts';

const lot = (spec: LotSpec) => {
  const outcome = lotOf(model, spec);
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
};
const left = (spec: LotSpec) =>
  Object.fromEntries(agedFigures(model, lot(spec)).map((f) => [f.figure, f]));
const probe = {
  hop: 'Trial line 7',
  form: 'pellet_90',
  analysis: { alpha_pct: 10, total_oil_ml_per_100g: 1, linalool_pct_of_oil: 0.5 },
} as const;

describe('loss of alpha acids', () => {
  // Nickerson and Likens 1979 (NICK79), 110 and 0.25 read in GARETZ94: lost % = 110 log10(HSI/0.25).
  it.each([
    [0.3, 8.7],
    [0.35, 16.1],
    [0.4, 22.5],
    [0.5, 33.1],
    [0.6, 41.8],
    [0.7, 49.2],
  ])('at a storage index of %f is %f %%', (index, lost) => {
    expect(100 * (1 - leftAtStorageIndex(index))).toBeCloseTo(lost, 1);
  });

  it('is nothing at the index of fresh hops and below, all at an index past the scale', () => {
    expect(leftAtStorageIndex(0.25)).toBe(1);
    expect(leftAtStorageIndex(0.2)).toBe(1);
    expect(leftAtStorageIndex(2)).toBeCloseTo(0.0066, 4);
  });

  // Rutnik et al. 2023 (RUT23A): two years without air at 4 C lose 10-35 %; in air at room
  // temperature 63-99 %. exp(-0.010 * 24) = 0.787; exp(-0.09 * 24) = 0.115.
  it('over two years lies inside the published range, sealed and cold or open and warm', () => {
    const after = (temp_c: number, packed: (typeof PACKINGS)[number]) =>
      Math.exp(-24 * alphaLossRate({ temp_c, packed }));
    expect(after(4, 'sealed')).toBeCloseTo(0.787, 3);
    expect(after(20, 'opened')).toBeCloseTo(0.115, 3);
    for (const [kept, low, high] of [
      [after(4, 'sealed'), 0.65, 0.9],
      [after(20, 'opened'), 0.01, 0.37],
    ] as const) {
      expect(kept).toBeGreaterThan(low);
      expect(kept).toBeLessThan(high);
    }
  });

  // Garetz 1994 (GARETZ94): the rate halves per 15 C drop.
  it('halves for every 15 C cooler', () => {
    const rate = (temp_c: number) => alphaLossRate({ temp_c, packed: 'opened' });
    expect(rate(5) / rate(20)).toBeCloseTo(0.5, 12);
    expect(rate(-10) / rate(20)).toBeCloseTo(0.25, 12);
  });

  // Keeping figures of the accessions: Saaz keeps 51 % in 6 months at room temperature (USDA-21077).
  it('of a variety with a keeping figure is that figure', () => {
    const storage = { months: 6, temp_c: 20, packed: 'opened' } as const;
    expect(left({ hop: 'Saaz', form: 'cone', storage })['alpha_pct']!.left).toBeCloseTo(0.51, 3);
    expect(model.hops.filter((hop) => hop.keeping !== null)).toHaveLength(36);
    const unknown = lot({ hop: 'Citra', form: 'pellet_90', storage });
    expect(unknown.keeping).toBeNull();
    const { temp_c, packed } = storage;
    expect(alphaLossRate({ temp_c, packed }, 'Citra')).toBe(alphaLossRate({ temp_c, packed }));
  });
});

describe('what ages by what', () => {
  const cold: Storage = { months: 12, temp_c: 4, packed: 'sealed' };

  // Oil as alpha without air: x = 0.12; myrcene exp(-1.4 * 0.12) = 0.845, linalool exp(-0.4 * 0.12) = 0.953.
  it('figures of the table age from the harvest, each component at its own rate', () => {
    const figures = left({ hop: 'Citra', form: 'pellet_90', storage: cold });
    expect(figures['alpha_pct']!.left).toBeCloseTo(Math.exp(-0.12), 6);
    expect(figures['total_oil_ml_per_100g']!.left).toBeCloseTo(Math.exp(-0.12), 6);
    expect(figures['myrcene']!.left).toBeCloseTo(0.845, 3);
    expect(figures['linalool']!.left).toBeCloseTo(0.953, 3);
    expect(figures['alpha_pct']).toMatchObject({ since: 'harvest', by: 'months' });
    expect(figures['alpha_pct']!.sources).toContain('RUT23A');
  });

  it('figures of an own analysis are of today, unless its age is given', () => {
    const today = left({ ...probe, storage: cold });
    expect(today['alpha_pct']!.left).toBe(1);
    expect(today['linalool']!.left).toBe(1);
    const year = left({ ...probe, storage: { ...cold, months_since_analysis: 12 } });
    expect(year['alpha_pct']!.left).toBeCloseTo(Math.exp(-0.12), 6);
    expect(year['linalool']!.left).toBeCloseTo(0.953, 3);
  });

  it('the storage index stands over months', () => {
    const { alpha_pct: alpha } = left({
      hop: 'Citra',
      form: 'pellet_90',
      storage: { ...cold, storage_index: 0.4 },
    });
    expect(alpha!.left).toBeCloseTo(0.775, 3);
    expect(alpha).toMatchObject({ by: 'storage_index' });
    expect(alpha!.sources).toContain('NICK79');
  });

  it.each([-18, 20])('has the doubling of its rate in doubt, at %f C', (temp_c) => {
    const storage = { months: 24, temp_c, packed: 'sealed' } as const;
    // A variety nothing is known of its keeping: it loses at the usual rate.
    const { name } = model.hops.find((h) => !h.keeping && h.cells.alpha_pct)!;
    const { alpha_pct: alpha } = left({ hop: name, form: 'cone', storage });
    const row = model.parameters['storage.doubling'];
    const rates = model.parameters['storage.alpha_rate.sealed'];
    const keptBy = (rate: number, doubling: number) =>
      Math.exp(-rate * 2 ** ((temp_c - 4) / doubling) * 24);
    const each = [rates.low, rates.high].flatMap((r) => [keptBy(r, row.low), keptBy(r, row.high)]);
    expect(alpha!.left_low).toBeCloseTo(Math.min(...each), 12);
    expect(alpha!.left_high).toBeCloseTo(Math.max(...each), 12);
  });

  it('is worked out for the figures asked for alone, the same', () => {
    const spec = lot({ hop: 'Citra', form: 'cone', storage: cold });
    const all = agedFigures(model, spec);
    expect(all.length).toBeGreaterThan(2);
    const alpha = all.filter(({ figure }) => figure === 'alpha_pct');
    expect(agedFigures(model, spec, ['alpha_pct'])).toEqual(alpha);
  });

  it('nothing stated is nothing lost, and another age is another lot', () => {
    expect(agedFigures(model, lot({ hop: 'Citra', form: 'cone' }))).toEqual([]);
    const spec = { hop: 'Citra', form: 'cone' } as const;
    expect(lotKey({ ...spec, storage: cold })).not.toBe(lotKey(spec));
  });

  it.each([{}, { months: 6 }, { months: 6, temp_c: 4 }, { months_since_analysis: 3 }])(
    'refuses an age nobody can compute: %j',
    (storage) => expect(check(storage, storageSchema).ok).toBe(false),
  );
});

describe('laws of age', () => {
  const storageArb: fc.Arbitrary<Storage> = fc.record({
    months: fc.double({ min: 0, max: 60, noNaN: true }),
    temp_c: fc.double({ min: -20, max: 35, noNaN: true }),
    packed: fc.constantFrom(...PACKINGS),
    storage_index: fc.option(fc.double({ min: 0.1, max: 2, noNaN: true }), { nil: undefined }),
    months_since_analysis: fc.double({ min: 0, max: 60, noNaN: true }),
  });
  const specArb = fc.record({
    hop: fc.constantFrom('Citra', 'Saaz', 'Cascade', 'Magnum'),
    form: fc.constantFrom(...FORMS),
    analysis: fc.record(
      {
        alpha_pct: fc.double({ min: 1, max: 20, noNaN: true }),
        total_oil_ml_per_100g: fc.double({ min: 0.2, max: 4, noNaN: true }),
        linalool_pct_of_oil: fc.double({ min: 0.1, max: 2, noNaN: true }),
        myrcene_pct_of_oil: fc.double({ min: 10, max: 70, noNaN: true }),
      },
      { requiredKeys: [] },
    ),
  });

  // Of dry hops it may: humulinones rise with the storage index (MAYE15).
  it('age never raises a figure, a compound in the beer or the bitterness of hot hops', () => {
    fc.assert(
      fc.property(specArb, storageArb, fc.constantFrom(...STAGE_KINDS), (spec, storage, stage) => {
        for (const f of agedFigures(model, lot({ ...spec, storage }))) {
          expect(f.left).toBeLessThanOrEqual(1);
          expect(f.left_low).toBeLessThanOrEqual(f.left);
          expect(f.left_high).toBeGreaterThanOrEqual(f.left);
        }
        const point = (addition: LotSpec) => {
          const design = soundDesign(scheduleOf([{ ...addition, stage, grams: 60 } as never]));
          return predictPoint(model, design);
        };
        const [fresh, aged] = [point(spec), point({ ...spec, storage })];
        COMPOUNDS.forEach((_, i) =>
          expect(aged.compounds[i]!).toBeLessThanOrEqual(fresh.compounds[i]! * (1 + 1e-12)),
        );
        if (stage === 'dry_hop') return;
        expect(aged.totals.ibu).toBeLessThanOrEqual(fresh.totals.ibu + 1e-12);
      }),
      { numRuns: 200 },
    );
  });

  it('older, warmer and opened never leave more', () => {
    fc.assert(
      fc.property(
        storageArb,
        fc.double({ min: 0, max: 24, noNaN: true }),
        ({ months, temp_c, packed }, more) => {
          const kept = (storage: Storage) =>
            left({ hop: 'Citra', form: 'pellet_90', storage })['alpha_pct']!.left;
          const now = kept({ months, temp_c, packed }) + 1e-12;
          expect(kept({ months: months! + more, temp_c, packed })).toBeLessThanOrEqual(now);
          expect(kept({ months, temp_c: temp_c! + more, packed })).toBeLessThanOrEqual(now);
          expect(kept({ months, temp_c, packed: 'opened' })).toBeLessThanOrEqual(
            kept({ months, temp_c, packed: 'sealed' }) + 1e-12,
          );
        },
      ),
      { numRuns: 200 },
    );
  });
});
