// The stock as plain values: lots searched, summed up, combined with a list, marked as used up; and whether a
// design needs a hop that is used up.
import type { ListedLot } from '#shared/lists/lot-list.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { SavedDesign, SavedLot, WorkspaceDocument } from '#shared/schemas/workspace.ts';
import type { Grams } from '#shared/units.ts';
import { nameKey } from '#shared/name-key.ts';
import { newId, scheduleOf } from '#state/documents/documents.ts';

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

export function sameHop(a: string, b: string): boolean {
  return nameKey(a) === nameKey(b);
}

/** Lots of one variety. */
export function lotsOfHop(lots: readonly SavedLot[], hop: string): readonly SavedLot[] {
  const key = nameKey(hop);
  return lots.filter((lot) => nameKey(lot.hop) === key);
}

/** Whether a lot says only that there is none of its hop. */
function isNone({ id: _, hop: _hop, form: _form, out_of_stock: _out, note, ...figures }: SavedLot) {
  return note === '' && figures.grams_on_hand === 0 && Object.keys(figures).length === 1;
}

/** Marks lots as used up, or as available again; a lot that only says that there is none is then removed. */
export function marked(
  document: WorkspaceDocument,
  ids: ReadonlySet<string>,
  out_of_stock: boolean,
): WorkspaceDocument {
  const lots = document.lots
    .filter((lot) => out_of_stock || !ids.has(lot.id) || !isNone(lot))
    .map((lot) => (ids.has(lot.id) ? { ...lot, out_of_stock } : lot));
  return { ...document, lots };
}

/**
 * Marks a hop as used up: all its lots are; where the stock lists none, a lot of 0 g says so for every design.
 */
export function withoutHop(document: WorkspaceDocument, hop: string): WorkspaceDocument {
  const lots = lotsOfHop(document.lots, hop);
  if (lots.length > 0) return marked(document, new Set(lots.map(({ id }) => id)), true);
  const none = { id: newId(), hop, form: 'pellet_90', grams_on_hand: 0, note: '' } as const;
  return { ...document, lots: [...document.lots, { ...none, out_of_stock: true }] };
}

/** Marks a hop as available again: its lots are no longer used up. */
export function withHopBack(document: WorkspaceDocument, hop: string): WorkspaceDocument {
  const ids = new Set(lotsOfHop(document.lots, hop).map(({ id }) => id));
  return marked(document, ids, false);
}

/** The fields that say which hops may be used: of a brief, or of a schedule to replace a hop in or to save on. */
export type Offering = Pick<Brief, 'limits'> & Partial<Pick<Brief, 'candidates'>>;

/**
 * The same with these hops banned too, as far as they are offered: no design uses what is out of stock,
 * wherever its hops come from. The same object where that changes nothing.
 * @param table names of the hops of the table.
 */
export function withoutHops<T extends Offering>(
  asked: T,
  hops: readonly string[],
  table: readonly string[],
): T {
  const { candidates = 'table', limits } = asked;
  const banned = new Set(limits.ban.map(nameKey));
  const names = candidates === 'table' ? table : candidates.map(({ hop }) => hop);
  const offered = new Set(names.map(nameKey));
  const ban = hops.filter((hop) => offered.has(nameKey(hop)) && !banned.has(nameKey(hop)));
  return ban.length > 0 ? { ...asked, limits: { ...limits, ban: [...limits.ban, ...ban] } } : asked;
}

/** Hops in the stock all of whose lots are used up. */
export function hopsUsedUp(lots: readonly SavedLot[]): string[] {
  const there = new Set(lots.filter((lot) => !lot.out_of_stock).map((lot) => nameKey(lot.hop)));
  return [...new Set(lots.map((lot) => lot.hop))].filter((hop) => !there.has(nameKey(hop)));
}

/** Hops that a design weighs out. */
export function hopsUsed(design: SavedDesign): string[] {
  const additions = scheduleOf(design)?.additions ?? [];
  return [...new Set(additions.filter((a) => a.grams > 0).map((a) => a.hop))];
}

/** Hops that a design weighs out and that are used up. */
export function hopsGone(design: SavedDesign, lots: readonly SavedLot[]): string[] {
  const gone = new Set(hopsUsedUp(lots).map(nameKey));
  return hopsUsed(design).filter((hop) => gone.has(nameKey(hop)));
}
