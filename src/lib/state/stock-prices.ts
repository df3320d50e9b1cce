// What the stock says of prices, for hops that nobody gave a price elsewhere: those of the hop table.
import { nameKey } from '#shared/name-key.ts';
import type { Addition } from '#shared/schemas/brief.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';

const priceKey = ({ hop, form }: Pick<SavedLot, 'hop' | 'form'>) => `${nameKey(hop)}|${form}`;

/** What the stock knows of prices, per kilogram. */
export type StockPrices = ReadonlyMap<string, number>;

/** Prices of the lots; of several lots of a hop in one form that of the first. */
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

/** With the price the stock knows for what has none: that of the same hop in the same form. */
export function pricedBy(additions: readonly Addition[], prices: StockPrices): Addition[] {
  return additions.map((addition) => {
    if (addition.price_per_kg !== undefined) return addition;
    const price_per_kg = prices.get(priceKey(addition));
    return price_per_kg === undefined ? addition : { ...addition, price_per_kg };
  });
}

/** What additions come to with the stock's prices, by the gram, and which of them it has no price for. */
export function paidByStock(
  additions: readonly Addition[],
  prices: StockPrices,
): { readonly cost: number | null; readonly unpriced: readonly string[] } {
  const unpriced = new Set<string>();
  let cost = 0;
  for (const { hop, grams, price_per_kg } of pricedBy(additions, prices)) {
    if (grams > 0 && price_per_kg === undefined) unpriced.add(hop);
    cost += (grams / 1000) * (price_per_kg ?? 0);
  }
  return { cost: unpriced.size > 0 ? null : cost, unpriced: [...unpriced] };
}
