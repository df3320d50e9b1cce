// Shopping for a schedule, and the stock drawn down for a batch: whole packages, the oldest lot first, once,
// and back again to the gram.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { savedBatchSchema } from '#shared/schemas/batch.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';
import { newBatch, savedDesign, scheduleFor, workspaceOf } from '#state/documents/documents.ts';
import { drawingOf, withDrawn, withPutBack } from '#state/stock/drawing.ts';
import { shoppingOf } from '#state/stock/shopping.ts';

const lot = (id: string, hop: string, more: Partial<SavedLot> = {}): SavedLot => ({
  id,
  hop,
  form: 'pellet_90',
  note: '',
  out_of_stock: false,
  ...more,
});
const hops = (hop: string, grams: number, more: object = {}) => ({
  hop,
  form: 'pellet_90' as const,
  stage: 'dry_hop',
  grams,
  ...more,
});
const PACKAGE_G = 100;
const batch = { ...SEED_BRIEFS[0]!.brief.batch, leftover_value_pct: 50 };

describe('shopping', () => {
  it('buys what is missing in whole packages and values what is left', () => {
    const lots = [
      lot('a', 'Citra', { grams_on_hand: 60, price_per_kg: 40 }),
      lot('b', 'Mosaic', { package_g: 250, price_per_kg: 30 }),
      lot('c', 'Saaz', { grams_on_hand: 500 }),
      lot('d', 'Simcoe', { grams_on_hand: 500, out_of_stock: true }),
    ];
    const additions = [
      hops('Citra', 100),
      hops('Citra', 90, { stage: 'hot_steep' }),
      hops('Mosaic', 20),
      hops('Saaz', 100),
      hops('Simcoe', 10),
    ];
    const lines = shoppingOf({ batch, additions }, lots, PACKAGE_G);
    expect(lines.map(({ hop, packages, package_g }) => [hop, packages, package_g])).toEqual([
      ['Citra', 2, 100],
      ['Mosaic', 1, 250],
      ['Simcoe', 1, 100],
      ['Saaz', 0, 100],
    ]);
    // 190 g needed, 60 there: 130 missing, 200 bought for 8.00; 70 g left keep half of 2.80.
    expect(lines[0]).toMatchObject({
      needed_g: 190,
      on_hand_g: 60,
      left_g: 70,
      paid: 8,
      spent: 6.6,
    });
    const unvalued = { ...batch, leftover_value_pct: undefined };
    expect(shoppingOf({ batch: unvalued, additions }, lots, PACKAGE_G)[0]!.spent).toBe(8);
    expect(lines[2]).toMatchObject({ paid: null, spent: null, on_hand_g: 0 });
  });

  it('takes a lot whose weight nobody gave as enough, and says so', () => {
    const [line] = shoppingOf(
      { batch, additions: [hops('Citra', 100)] },
      [lot('a', 'Citra')],
      PACKAGE_G,
    );
    expect(line).toMatchObject({ on_hand_g: null, packages: 0 });
  });
});

describe('the stock of a batch', () => {
  const { brief } = SEED_BRIEFS[0]!;
  const document = (lots: SavedLot[], additions: ReturnType<typeof hops>[]) => {
    const design = savedDesign(brief);
    const batch = newBatch(design, scheduleFor(brief, additions), '2026-04-03');
    return { document: workspaceOf([design], lots, [batch]), batch };
  };

  it('takes the lot of those figures first, then the oldest, and tells what is short', () => {
    const analysis = { alpha_pct: 12 };
    const lots = [
      lot('new', 'Citra', { grams_on_hand: 50, harvest_year: 2025 }),
      lot('old', 'Citra', { grams_on_hand: 50, harvest_year: 2023 }),
      lot('own', 'Citra', { grams_on_hand: 30, harvest_year: 2025, analysis }),
      lot('cone', 'Citra', { grams_on_hand: 500, form: 'cone' }),
    ];
    expect(drawingOf([hops('citra', 90, { analysis })], lots)).toEqual({
      drawn: [
        { lot: 'own', grams: 30 },
        { lot: 'old', grams: 50 },
        { lot: 'new', grams: 10 },
      ],
      short: [],
    });
    expect(drawingOf([hops('Citra', 140), hops('Saaz', 5)], lots).short).toEqual([
      { hop: 'Citra', grams: 10 },
      { hop: 'Saaz', grams: 5 },
    ]);
  });

  it('is drawn down once, and put back to the gram', () => {
    const grams = fc.integer({ min: 0, max: 400 });
    fc.assert(
      fc.property(
        fc.array(grams, { minLength: 1, maxLength: 5 }),
        fc.array(grams, { maxLength: 4 }),
        (held, used) => {
          const lots = held.map((g, i) =>
            lot(`l${i}`, 'Citra', { grams_on_hand: g, out_of_stock: g === 0 }),
          );
          const before = document(
            lots,
            used.map((g) => hops('Citra', g)),
          );
          const after = withDrawn(before.document, before.batch);
          const [batch] = after.batches;
          const sum = (of: readonly SavedLot[]) => of.reduce((all, l) => all + l.grams_on_hand!, 0);
          const wanted = used.reduce((all, g) => all + g, 0);
          const there = held.reduce((all, g) => all + g, 0);
          expect(sum(after.lots)).toBeCloseTo(there - Math.min(wanted, there), 6);
          expect(savedBatchSchema.safeParse(batch).success).toBe(true);
          if (batch!.drawn.length > 0) expect(withDrawn(after, batch!)).toBe(after);
          expect(withPutBack(after, batch!).lots).toEqual(before.document.lots);
        },
      ),
    );
  });
});
