// The stock: put together with lists, searched, summed, marked; and files of any encoding.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { advice, success } from '#shared/outcome.ts';
import { savedLotSchema, type SavedLot } from '#shared/schemas/workspace.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { lotsMatching, stockTotals, withList } from '#state/stock/stock.ts';
import {
  hopsGone,
  hopsUsedUp,
  marked,
  withHopBack,
  withoutHop,
  withoutHops,
} from '#state/stock/out-of-stock.ts';
import { paidByStock, pricesOf, unpricedLots, withPrice } from '#state/stock/stock-prices.ts';
import { textOfFile } from '#shared/reading/text-file.ts';
import { savedDesign, workspaceOf } from '#state/documents/documents.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';

const lot = (id: string, hop: string, more: Partial<SavedLot> = {}): SavedLot => ({
  id,
  hop,
  form: 'pellet_90',
  note: '',
  out_of_stock: false,
  ...more,
});
const listed = ({ id: _, ...rest }: SavedLot) => rest;
const lots = [
  lot('a', 'Citra', { grams_on_hand: 500, price_per_kg: 40, note: 'shelf 2' }),
  lot('b', 'Saaz', { grams_on_hand: 1000, analysis: { alpha_pct: 3 } }),
  lot('c', 'Magnum', { grams_on_hand: 250, price_per_kg: 20, out_of_stock: true }),
];

describe('a list', () => {
  it('merged changes what it gives, keeps the rest and adds the new', () => {
    const list = [lot('', 'saaz', { price_per_kg: 30 }), lot('', 'Target')].map(listed);
    const next = withList(lots, list, 'merge');
    expect(next.slice(0, 3).map(({ id }) => id)).toEqual(['a', 'b', 'c']);
    expect(next[1]).toMatchObject({ price_per_kg: 30, grams_on_hand: 1000 });
    expect(next[1]!.analysis).toEqual({ alpha_pct: 3 });
    expect(next).toHaveLength(4);
  });
  it('replaced is all there is, known lots keep their ids', () => {
    const next = withList(lots, [listed(lots[1]!), listed(lot('', 'Target'))], 'replace');
    expect(next.map(listed)).toEqual([listed(lots[1]!), listed(lot('', 'Target'))]);
    expect(next[0]!.id).toBe('b');
  });
  it('of the stock itself changes nothing, in either way', () => {
    const some = fc.array(fc.constantFrom(...lots), { maxLength: 8 });
    fc.assert(
      fc.property(some, (picked) => {
        const stock = picked.map((l, i) => ({ ...l, id: `l${i}` }));
        for (const way of ['merge', 'replace'] as const) {
          expect(withList(stock, stock.map(listed), way)).toEqual(stock);
        }
      }),
    );
  });
  it('that puts a lot on hand takes its package away', () => {
    const bought = [lot('a', 'Citra', { package_g: 100 })];
    const [next] = withList(bought, [listed(lot('', 'Citra', { grams_on_hand: 5 }))], 'merge');
    expect(next).toEqual(lot('a', 'Citra', { grams_on_hand: 5 }));
  });
});

it('totals leave out what is used up and say what has no price', () => {
  expect(stockTotals(lots)).toEqual({ lots: 2, grams: 1500, worth: 20, unpriced: 1 });
});

it('prices what has none as the first lot of the same hop and form, and says what stays unpriced', () => {
  const prices = pricesOf([...lots, lot('d', 'Citra', { price_per_kg: 50 })]);
  const added = (hop: string, grams: number, more: Partial<Addition> = {}): Addition => ({
    hop,
    form: 'pellet_90',
    stage: 'dry_hop',
    grams,
    ...more,
  });
  // 50 g at 40 a kg, 10 g at its own 100 a kg.
  const known = [added('citra', 50), added('Saaz', 10, { price_per_kg: 100 }), added('Target', 0)];
  expect(paidByStock(known, prices)).toEqual({ cost: 3, unpriced: [] });
  const cone = added('Citra', 5, { form: 'cone' });
  expect(paidByStock([...known, cone, added('Saaz', 5)], prices)).toEqual({
    cost: null,
    unpriced: ['Citra', 'Saaz'],
  });
});

it('a search takes every word, of variety, year or note', () => {
  expect(lotsMatching(lots, 'CIT shelf').map(({ id }) => id)).toEqual(['a']);
  expect(lotsMatching(lots, 'citra saaz')).toEqual([]);
  expect(lotsMatching(lots, ' ')).toBe(lots);
});

it('a hop is gone when every lot of it is used up, and was in stock at all', () => {
  const { brief } = SEED_BRIEFS[0]!;
  const add = (hop: string) => ({ hop, form: 'cone', stage: 'dry_hop', grams: 10 }) as const;
  const design = {
    ...savedDesign(brief),
    blend: [add('Magnum'), add('Citra'), add('Nugget')],
  };
  const two = [...lots, lot('d', 'Citra')];
  expect(hopsGone(design, two)).toEqual(['Magnum']);
  const once = marked(workspaceOf([design], two), new Set(['a']), true).lots;
  expect(hopsGone(design, once)).toEqual(['Magnum']);
  const twice = marked(workspaceOf([design], two), new Set(['a', 'd']), true).lots;
  expect(hopsGone(design, twice)).toEqual(['Magnum', 'Citra']);
});

describe('a hop that there is no more of', () => {
  const brief = briefSchema.parse(SEED_BRIEFS[0]!.brief);
  const document = workspaceOf([savedDesign(brief)], lots);

  it('is marked in all its lots, or by one of 0 g, and comes back as it was', () => {
    const none = withoutHop(document, 'Magnum-like');
    expect(none.lots.slice(0, -1)).toEqual(document.lots);
    expect(none.lots.at(-1)).toMatchObject({ hop: 'Magnum-like', grams_on_hand: 0 });
    expect(hopsUsedUp(none.lots)).toContain('Magnum-like');
    expect(savedLotSchema.safeParse(none.lots.at(-1)).success).toBe(true);
    expect(withHopBack(none, 'magnum like').lots).toEqual(document.lots);

    const citra = withoutHop(document, 'citra');
    expect(citra.lots).toHaveLength(lots.length);
    expect(hopsUsedUp(citra.lots)).toContain('Citra');
    expect(
      withHopBack(citra, 'Citra').lots.every((l) => l.hop !== 'Citra' || !l.out_of_stock),
    ).toBe(true);
  });

  it('is banned where it is offered, once, and changes nothing elsewhere', () => {
    const gone = ['Citra', 'Own hop'];
    const banned = (asked: Brief) => withoutHops(asked, gone, ['Citra', 'Saaz']).limits.ban;
    expect(banned({ ...brief, candidates: 'table' })).toEqual([...brief.limits.ban, 'Citra']);
    const own = [{ hop: 'own hop', form: 'cone' as const }];
    expect(banned({ ...brief, candidates: own })).toEqual([...brief.limits.ban, 'Own hop']);
    const already: Brief = { ...brief, limits: { ...brief.limits, ban: ['citra'] } };
    expect(withoutHops(already, gone, ['Citra'])).toBe(already);
  });
});

describe('the text of a file', () => {
  const text = 'hop\nMittelfrüh';
  it.each([
    ['UTF-8', [...new TextEncoder().encode(text)]],
    ['Windows-1252', [...text].map((c) => c.charCodeAt(0))],
    ['UTF-16', [0xff, 0xfe, ...[...text].flatMap((c) => [c.charCodeAt(0), 0])]],
    ['UTF-16', [0xfe, 0xff, ...[...text].flatMap((c) => [0, c.charCodeAt(0)])]],
  ])('is read in %s', (encoding, bytes) => {
    expect(textOfFile(Uint8Array.from(bytes), 'a list')).toEqual(success({ text, encoding }));
  });
  it.each([
    ['a picture', [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0]],
    ['a picture', [0xff, 0xd8, 0xff, 0xe0, 0, 0x10]],
    ['a PDF', [...new TextEncoder().encode('%PDF-1.7\nhop,grams\n')]],
    ['a spreadsheet or another packed file', [0x50, 0x4b, 3, 4, 20, 0]],
  ])('that is %s is refused as that', (kind, bytes) => {
    const outcome = textOfFile(Uint8Array.from(bytes), 'a list saved as CSV');
    if (outcome.ok) throw new Error('taken');
    expect(advice(outcome.problems[0]!)).toMatch(
      new RegExp(`^this is ${kind}, not text\\. Choose a list saved as CSV`),
    );
  });
  it('with a sign no text has is refused, whatever it is', () => {
    const sign = fc.constantFrom(0, 1, 3, 8, 14, 27, 31);
    fc.assert(
      fc.property(fc.uint8Array(), sign, fc.uint8Array(), (before, bad, after) => {
        const bytes = Uint8Array.from([0x41, ...before, bad, ...after]);
        expect(textOfFile(bytes, 'a list').ok).toBe(false);
      }),
    );
  });
  it('of any other signs is taken', () => {
    fc.assert(
      fc.property(fc.stringMatching(/^[\t\n\r -~\u00a0-\u024f]*$/), (any) => {
        const plain = any.replace(/^%PDF-|^PK/, '');
        const outcome = textOfFile(new TextEncoder().encode(plain), 'a list');
        expect(outcome).toEqual(success({ text: plain, encoding: 'UTF-8' }));
      }),
    );
  });
});

describe('a price typed beside a hop without one', () => {
  const citra = { hop: 'Citra', form: 'pellet_90' } as const;
  const added = (more: Partial<Addition> = {}): Addition => ({
    ...citra,
    stage: 'dry_hop',
    grams: 10,
    ...more,
  });
  const brief = (candidates: Brief['candidates']): Brief => ({
    ...briefSchema.parse(SEED_BRIEFS[0]!.brief),
    candidates,
  });

  it('is asked for each hop and form once', () => {
    const additions = [
      added(),
      added({ stage: 'mash' }),
      added({ form: 'cone' }),
      added({ grams: 0 }),
    ];
    expect(unpricedLots([...additions, added({ hop: 'Saaz', price_per_kg: 1 })])).toEqual([
      citra,
      { hop: 'Citra', form: 'cone' },
    ]);
  });

  it('goes to the blend, the lots offered and the stock, and changes no price there is', () => {
    const offered = [{ ...citra }, { ...citra, price_per_kg: 3 }];
    const own = [
      { ...added(), locked: false },
      { ...added({ price_per_kg: 5 }), locked: true },
    ];
    const before = workspaceOf(
      [savedDesign(brief(offered), { own })],
      [lot('a', 'citra'), lot('b', 'Saaz')],
    );
    const { designs, lots: after } = withPrice(before, citra, 42);
    expect(designs[0]!.own!.map((a) => a.price_per_kg)).toEqual([42, 5]);
    expect(designs[0]!.brief.candidates).toMatchObject([{ price_per_kg: 42 }, { price_per_kg: 3 }]);
    expect(after.map((one) => one.price_per_kg)).toEqual([42, undefined]);
  });

  it('of a hop of the table makes it a lot to be had, and leaves the brief itself', () => {
    const before = workspaceOf([savedDesign(brief('table'))], []);
    const after = withPrice(before, citra, 42);
    expect(after.designs[0]!.brief).toBe(before.designs[0]!.brief);
    expect(after.lots).toMatchObject([{ ...citra, price_per_kg: 42, out_of_stock: false }]);
  });
});
