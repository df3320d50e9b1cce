// What a schedule needs beyond the stock, in whole packages: what is there, what is missing, how many packages
// to buy and what is left of them. Leftovers keep the share of their price that the search assumes; the rest
// counts as spent.
import type { FormId } from '#shared/ids.ts';
import { nameKey } from '#shared/name-key.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';
import type { Grams } from '#shared/units.ts';
import { leftoverWorth, packagesFor } from '#engine/predict/purchases.ts';
import { pricedBy, pricesOf } from './stock-prices.ts';

export interface ShoppingLine {
  readonly hop: string;
  readonly form: FormId;
  /** Grams that the schedule weighs out. */
  readonly needed_g: number;
  /** Grams in stock in that form; `null` where a lot is listed without its weight. */
  readonly on_hand_g: number | null;
  /** Number of whole packages to buy; `package_g` is their size. */
  readonly packages: number;
  readonly package_g: number;
  /** Grams bought but not needed. */
  readonly left_g: number;
  /** Price of the packages; `null` where it is not known. */
  readonly paid: number | null;
  /** That price less what the leftovers are worth. */
  readonly spent: number | null;
}

const keyOf = ({ hop, form }: Pick<Addition, 'hop' | 'form'>) => `${nameKey(hop)}|${form}`;

/**
 * One line for each hop in one form, those to buy first.
 * @param packageG size of a package where none is known, g.
 */
export function shoppingOf(
  { batch, additions }: Pick<Schedule, 'batch' | 'additions'>,
  lots: readonly SavedLot[],
  packageG: Grams,
): ShoppingLine[] {
  const worth = leftoverWorth(batch);
  const prices = pricesOf(lots);
  const byHop = new Map<string, Addition[]>();
  for (const addition of pricedBy(additions, prices)) {
    if (addition.grams <= 0) continue;
    const key = keyOf(addition);
    byHop.set(key, [...(byHop.get(key) ?? []), addition]);
  }
  const lines = [...byHop].map(([key, asked]): ShoppingLine => {
    const [{ hop, form }] = asked as [Addition];
    const alike = lots.filter((lot) => keyOf(lot) === key && !lot.out_of_stock);
    const there = alike.filter((lot) => lot.package_g === undefined);
    const isWeighed = there.every((lot) => lot.grams_on_hand !== undefined);
    const on_hand_g = isWeighed ? there.reduce((sum, lot) => sum + lot.grams_on_hand!, 0) : null;
    const needed_g = asked.reduce((sum, a) => sum + a.grams, 0);
    const missing = on_hand_g === null ? 0 : Math.max(0, needed_g - on_hand_g);
    const package_g =
      asked.find((a) => a.package_g !== undefined)?.package_g ??
      alike.find((lot) => lot.package_g !== undefined)?.package_g ??
      packageG;
    const packages = missing > 0 ? packagesFor(missing, package_g) : 0;
    const left_g = Math.max(0, packages * package_g - missing);
    const price = asked.find((a) => a.price_per_kg !== undefined)?.price_per_kg;
    const paid = price === undefined ? null : (packages * package_g * price) / 1000;
    const spent = paid === null ? null : paid - (worth * left_g * price!) / 1000;
    return { hop, form, needed_g, on_hand_g, packages, package_g, left_g, paid, spent };
  });
  return lines.sort((a, b) => Number(b.packages > 0) - Number(a.packages > 0));
}
