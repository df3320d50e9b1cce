// Which costs rest on prices of the invented demo brewery: they must not be taken for the person's own.
import { nameKey } from '#shared/name-key.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type { WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { pricedBy, type StockPrices } from './stock-prices.ts';

/** A price with its hop and form. */
type HopPrice = Pick<Addition, 'hop' | 'form' | 'price_per_kg'>;

const keyOf = ({ hop, form, price_per_kg }: HopPrice) => `${nameKey(hop)}|${form}|${price_per_kg}`;

/** Prices of the demo that are in a workspace. */
export type InventedPrices = ReadonlySet<string>;

/** All priced lots and additions of a workspace, by the id of their lot or design. */
function pricesById({
  lots,
  designs,
}: WorkspaceDocument): ReadonlyMap<string, readonly HopPrice[]> {
  return new Map<string, readonly HopPrice[]>([
    ...lots.map((lot) => [lot.id, [lot]] as const),
    ...designs.map(({ id, brief: { candidates, keep = [] } }) => {
      return [id, [...(candidates === 'table' ? [] : candidates), ...keep]] as const;
    }),
  ]);
}

/** The demo's prices that nobody has changed or removed. @param starter the demo. */
export function inventedPrices(
  document: WorkspaceDocument,
  starter: WorkspaceDocument,
): InventedPrices {
  const there = pricesById(document);
  const invented = new Set<string>();
  for (const [id, priced] of pricesById(starter)) {
    const stands = new Set(there.get(id)?.map(keyOf));
    for (const one of priced) {
      if (one.price_per_kg !== undefined && stands.has(keyOf(one))) invented.add(keyOf(one));
    }
  }
  return invented;
}

/** Whether any of these additions has a price that the demo invented. */
export function isAtInvented(
  additions: readonly Addition[],
  prices: StockPrices,
  invented: InventedPrices,
): boolean {
  if (invented.size === 0) return false;
  return pricedBy(additions, prices).some((a) => a.grams > 0 && invented.has(keyOf(a)));
}
