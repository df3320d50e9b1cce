// Which hops are used up: lots marked so and back, designs that need such a hop, and briefs that are not offered it.
import type { Brief } from '#shared/schemas/brief.ts';
import type { SavedDesign, SavedLot, WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { nameKey } from '#shared/name-key.ts';
import { newId, scheduleOf } from '#state/documents/documents.ts';

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
