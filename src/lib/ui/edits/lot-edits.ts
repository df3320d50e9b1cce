// The edits of the stock, each with the name that undo shows.
import { dateProblems, dayOf } from '#shared/lists/lot-dates.ts';
import { given } from '#shared/given.ts';
import type { ListedLot } from '#shared/lists/lot-list.ts';
import { advice } from '#shared/outcome.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';
import { newId, withLot, withoutLot } from '#state/documents/documents.ts';
import { withList, type ListMode } from '#state/stock/stock.ts';
import { marked, withHopBack, withoutHop } from '#state/stock/out-of-stock.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';

/** @returns what is wrong with the lot after the edit; then nothing has changed. */
export function changeLot(
  workspace: Workspace,
  lot: SavedLot,
  figures: Partial<SavedLot>,
): string | null {
  // Only what is changed: a date that was kept before must not stand in the way of another edit.
  const [problem] = dateProblems(figures, dayOf(new Date()));
  if (problem) return advice(problem);
  const next = given({ ...lot, ...figures });
  return workspace.edit(`change ${lot.hop}`, (document) => withLot(document, next));
}

export function addLot(workspace: Workspace, lot: ListedLot): string | null {
  return workspace.edit(`add ${lot.hop}`, (document) => withLot(document, { ...lot, id: newId() }));
}

export function removeLot(workspace: Workspace, lot: SavedLot): string | null {
  return workspace.edit(`remove ${lot.hop}`, (document) => withoutLot(document, lot.id));
}

export function markLots(
  workspace: Workspace,
  lots: readonly SavedLot[],
  out: boolean,
): string | null {
  const ids = new Set(lots.map(({ id }) => id));
  const name = `${lots[0]?.hop ?? ''} ${out ? 'out of stock' : 'back in stock'}`;
  return workspace.edit(name, (document) => marked(document, ids, out));
}

/** Marks a hop as used up, for every design, whether or not the stock lists lots of it. */
export function runOutOfHop(workspace: Workspace, hop: string): string | null {
  return workspace.edit(`${hop} out of stock`, (document) => withoutHop(document, hop));
}

export function bringBack(workspace: Workspace, hop: string): string | null {
  return workspace.edit(`${hop} back in stock`, (document) => withHopBack(document, hop));
}

export function takeList(
  workspace: Workspace,
  list: readonly ListedLot[],
  arrival: ListMode,
): string | null {
  const name = arrival === 'merge' ? 'import lots' : 'replace the stock';
  return workspace.edit(name, (document) => ({
    ...document,
    lots: withList(document.lots, list, arrival),
  }));
}
