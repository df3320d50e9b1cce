// What the stock says about prices of hops that have none elsewhere, such as those of the hop table; and where
// a price is stored that a person types beside a hop without one.
import { FORMS } from '#shared/ids.ts';
import { nameKey } from '#shared/name-key.ts';
import type { Addition, Candidate } from '#shared/schemas/lot.ts';
import type { OwnTables } from '#shared/schemas/own-tables.ts';
import type { SavedLot, WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { newId, openDesign, withDesign, withLot } from '#state/documents/documents.ts';

const priceKey = ({ hop, form }: Pick<SavedLot, 'hop' | 'form'>) => `${nameKey(hop)}|${form}`;

/** Prices that the stock knows, per kg, by hop and form. */
export type StockPrices = ReadonlyMap<string, number>;

/** Prices of the lots; where a hop has several lots in one form, that of the first. */
export function pricesOf(
  lots: readonly Pick<SavedLot, 'hop' | 'form' | 'price_per_kg'>[],
): StockPrices {
  const prices = new Map<string, number>();
  for (const lot of lots) {
    const key = priceKey(lot);
    if (lot.price_per_kg !== undefined && !prices.has(key)) prices.set(key, lot.price_per_kg);
  }
  return prices;
}

/** Prices of own tables; those of the lots come before them. */
export function ownPrices(
  own: OwnTables | null,
): Pick<SavedLot, 'hop' | 'form' | 'price_per_kg'>[] {
  return (own?.prices ?? []).flatMap(({ hop = '', form, price_per_kg }) => {
    const [price, known] = [Number(price_per_kg), FORMS.find((f) => f === form)];
    return known && price >= 0 ? [{ hop, form: known, price_per_kg: price }] : [];
  });
}

/** The additions in which each one without a price gets the one the stock knows for the same hop and form. */
export function pricedBy(additions: readonly Addition[], prices: StockPrices): Addition[] {
  return additions.map((addition) => {
    if (addition.price_per_kg !== undefined) return addition;
    const price_per_kg = prices.get(priceKey(addition));
    return price_per_kg === undefined ? addition : { ...addition, price_per_kg };
  });
}

/** Hops weighed out without a price, each once. */
export function unpricedHops(additions: readonly Addition[]): string[] {
  const without = additions.filter((a) => a.grams > 0 && a.price_per_kg === undefined);
  return [...new Set(without.map(({ hop }) => hop))];
}

/** Hops weighed out without a price, each once in each form. */
export function unpricedLots(additions: readonly Addition[]): Pick<Addition, 'hop' | 'form'>[] {
  const without = additions.filter((a) => a.grams > 0 && a.price_per_kg === undefined);
  return [
    ...new Map(without.map(({ hop, form }) => [priceKey({ hop, form }), { hop, form }])).values(),
  ];
}

/**
 * Sets a price for a hop in one form wherever it has none: in the open design's own blend, among its
 * candidates, in the stock. A hop of the table that the stock does not list is added as a lot that can be
 * bought.
 */
export function withPrice(
  document: WorkspaceDocument,
  lot: Pick<SavedLot, 'hop' | 'form'>,
  price_per_kg: number,
): WorkspaceDocument {
  const isMeant = (one: Pick<Candidate, 'hop' | 'form' | 'price_per_kg'>) =>
    one.price_per_kg === undefined && priceKey(one) === priceKey(lot);
  const priced = <T extends Pick<Candidate, 'hop' | 'form' | 'price_per_kg'>>(all: readonly T[]) =>
    all.map((one) => (isMeant(one) ? { ...one, price_per_kg } : one));
  const { own, blend, ...design } = openDesign(document);
  const { candidates, keep, ...brief } = design.brief;
  const offered = candidates === 'table' ? [] : candidates;
  const isOfBrief = offered.some(isMeant) || (keep ?? []).some(isMeant);
  const next = withDesign(
    { ...document, lots: priced(document.lots) },
    {
      ...design,
      // An unchanged brief stays the same object, so that it is not designed again.
      brief: isOfBrief
        ? {
            ...brief,
            candidates: candidates === 'table' ? candidates : priced(offered),
            ...(keep && { keep: priced(keep) }),
          }
        : openDesign(document).brief,
      ...(own && { own: priced(own) }),
      ...(blend && !isOfBrief && { blend }),
    },
  );
  const isListed = document.lots.some((one) => priceKey(one) === priceKey(lot));
  if (isListed || candidates !== 'table') return next;
  return withLot(next, { ...lot, price_per_kg, id: newId(), note: '', out_of_stock: false });
}

/** What additions cost at the stock's prices, by the gram, and which of them have no price there. */
export function paidByStock(
  additions: readonly Addition[],
  prices: StockPrices,
): { readonly cost: number | null; readonly unpriced: readonly string[] } {
  const priced = pricedBy(additions, prices);
  const unpriced = unpricedHops(priced);
  const cost = priced.reduce((sum, a) => sum + (a.grams / 1000) * (a.price_per_kg ?? 0), 0);
  return { cost: unpriced.length > 0 ? null : cost, unpriced };
}
