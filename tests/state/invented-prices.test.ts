// Prices of the demo are told from a person's own, and the demo can be put away in one step.
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { briefSchema } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';
import { savedDesign, withLot, withoutDemo, workspaceOf } from '#state/documents/documents.ts';
import { inventedPrices, isAtInvented } from '#state/stock/invented-prices.ts';
import { pricesOf } from '#state/stock/stock-prices.ts';

const brief = briefSchema.parse(SEED_BRIEFS[0]!.brief);
const demo = { ...savedDesign(brief), id: 'demo-a' };
const lot = (id: string, hop: string, price_per_kg: number): SavedLot => ({
  id,
  hop,
  form: 'pellet_90',
  price_per_kg,
  note: '',
  out_of_stock: false,
});
const starter = workspaceOf(
  [demo],
  [lot('demo-lot-1', 'Citra', 40), lot('demo-lot-2', 'Saaz', 20)],
);
const added = (hop: string, grams = 10): Addition => ({
  hop,
  form: 'pellet_90',
  stage: 'dry_hop',
  grams,
});

describe('a price of the demo', () => {
  const atDemo = (document: typeof starter, ...additions: Addition[]) =>
    isAtInvented(additions, pricesOf(document.lots), inventedPrices(document, starter));

  it('is reported wherever something weighed out is paid at it', () => {
    expect(atDemo(starter, added('citra'), added('Magnum'))).toBe(true);
    expect(atDemo(starter, added('Magnum'), added('Citra', 0))).toBe(false);
  });

  it('is one’s own once it is typed anew, or of a lot of one’s own at the same price', () => {
    const changed = withLot(starter, lot('demo-lot-1', 'Citra', 41));
    expect(atDemo(changed, added('Citra'))).toBe(false);
    expect(atDemo(changed, added('Saaz'))).toBe(true);
    const own = { ...starter, lots: [lot('mine', 'Citra', 40)] };
    expect(atDemo(own, added('Citra'))).toBe(false);
  });
});

describe('putting the demo away', () => {
  it('leaves a blank design and an empty stock where nothing is one’s own', () => {
    const left = withoutDemo(starter);
    expect(left.lots).toEqual([]);
    expect(left.designs).toHaveLength(1);
    expect(left.designs[0]!.brief).toMatchObject({ target: {}, candidates: 'table' });
    expect(left.open).toBe(left.designs[0]!.id);
    expect(inventedPrices(left, starter).size).toBe(0);
  });

  it('keeps every design and lot of one’s own', () => {
    const own = savedDesign({ ...brief, name: 'Mine' });
    const mine = lot('mine', 'Citra', 40);
    const left = withoutDemo({
      ...workspaceOf([demo, own], [...starter.lots, mine]),
      open: own.id,
    });
    expect([left.designs, left.lots, left.open]).toEqual([[own], [mine], own.id]);
  });
});
