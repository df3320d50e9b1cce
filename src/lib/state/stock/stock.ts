// The lots of the stock as plain values: searched, summed up, combined with a list. Which hops are used up is
// decided in out-of-stock.ts.
import type { ListedLot } from '#shared/lists/lot-list.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';
import type { Grams } from '#shared/units.ts';
import { nameKey } from '#shared/name-key.ts';
import { newId } from '#state/documents/documents.ts';

/** Above this storage index hops count as stale; common practice, no source. */
export const STALE_INDEX = 0.4;
/** Above this share of oil lost hops count as stripped: aroma doses are then off by half or more. */
export const STRIPPED_OIL_LOST = 1 / 3;

export const LIST_MODES = ['merge', 'replace'] as const;
/** Whether a list is merged with the stock or replaces it. */
export type ListMode = (typeof LIST_MODES)[number];

const lotKey = ({ hop, form, harvest_year }: ListedLot) =>
  `${nameKey(hop)}|${form}|${harvest_year ?? ''}`;

/**
 * The stock combined with a list. Lots of the same variety, form and harvest are the same lot, paired in their
 * order. Merged: fields of the list win and the others stay; replaced: only the list counts.
 */
export function withList(
  lots: readonly SavedLot[],
  list: readonly ListedLot[],
  arrival: ListMode,
): SavedLot[] {
  const waiting = new Map<string, SavedLot[]>();
  for (const lot of lots) {
    const alike = waiting.get(lotKey(lot));
    if (alike) alike.push(lot);
    else waiting.set(lotKey(lot), [lot]);
  }
  const came = list.map((listed) => ({ listed, old: waiting.get(lotKey(listed))?.shift() }));
  if (arrival === 'replace') {
    return came.map(({ listed, old }) => ({ ...listed, id: old?.id ?? newId() }));
  }
  const merged = new Map(
    came.flatMap(({ listed, old }) => (old ? [[old.id, mergedLot(old, listed)]] : [])),
  );
  const fresh = came.filter(({ old }) => !old).map(({ listed }) => ({ ...listed, id: newId() }));
  return [...lots.map((lot) => merged.get(lot.id) ?? lot), ...fresh];
}

function mergedLot(old: SavedLot, listed: ListedLot): SavedLot {
  const analysis = { ...old.analysis, ...listed.analysis };
  const lot: SavedLot = { ...old, ...listed, note: listed.note || old.note, id: old.id };
  if (Object.keys(analysis).length > 0) lot.analysis = analysis;
  // A lot is on hand or bought in packages: the list has the last word.
  if (listed.package_g !== undefined) delete lot.grams_on_hand;
  if (listed.grams_on_hand !== undefined) delete lot.package_g;
  return lot;
}

/** Lots whose variety or note contains every word of a search; accents and case do not count. */
export function lotsMatching(lots: readonly SavedLot[], text: string): readonly SavedLot[] {
  const words = text.split(/\s+/).map(nameKey).filter(Boolean);
  if (words.length === 0) return lots;
  return lots.filter((lot) => {
    const searched = nameKey(`${lot.hop} ${lot.form} ${lot.harvest_year ?? ''} ${lot.note}`);
    return words.every((word) => searched.includes(word));
  });
}

/** Totals of the lots that are not used up. */
export interface StockTotals {
  readonly lots: number;
  readonly grams: Grams;
  /** Value of the lots with weight and price. */
  readonly worth: number;
  /** Number of lots with a weight but no price. */
  readonly unpriced: number;
}

export function stockTotals(lots: readonly SavedLot[]): StockTotals {
  const there = lots.filter((lot) => !lot.out_of_stock);
  let [grams, worth, unpriced] = [0, 0, 0];
  for (const { grams_on_hand, price_per_kg } of there) {
    if (grams_on_hand === undefined) continue;
    grams += grams_on_hand;
    if (price_per_kg === undefined) unpriced += 1;
    else worth += (grams_on_hand / 1000) * price_per_kg;
  }
  return { lots: there.length, grams, worth, unpriced };
}
