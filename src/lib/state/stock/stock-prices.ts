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

/** Hops weighed out without a price, each once. */
export function unpricedHops(additions: readonly Addition[]): string[] {
  const without = additions.filter((a) => a.grams > 0 && a.price_per_kg === undefined);
  return [...new Set(without.map(({ hop }) => hop))];
}

/** What additions come to with the stock's prices, by the gram, and which of them it has no price for. */
export function paidByStock(
  additions: readonly Addition[],
  prices: StockPrices,
): { readonly cost: number | null; readonly unpriced: readonly string[] } {
  const priced = pricedBy(additions, prices);
  const unpriced = unpricedHops(priced);
  const cost = priced.reduce((sum, a) => sum + (a.grams / 1000) * (a.price_per_kg ?? 0), 0);
  return { cost: unpriced.length > 0 ? null : cost, unpriced };
}
