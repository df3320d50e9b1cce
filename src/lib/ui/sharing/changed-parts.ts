// What the page says of a change that another device made: which part, and when; and which parts cannot be read here.
import type { Problem } from '#shared/outcome.ts';
import { isSingle, type WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { titleOf } from '#state/documents/documents.ts';
import { batchId, designId, lotId, SINGLE_NAMES } from '#storage/entries.ts';

/** A part by what a person calls it; one that is not here was removed. */
export function changedPart({ designs, lots, batches }: WorkspaceDocument, key: string): string {
  const [design, lot, batch] = [designId(key), lotId(key), batchId(key)];
  const within = <T extends { readonly id: string }>(list: readonly T[], id: string) =>
    list.find((member) => member.id === id);
  if (lot !== null) {
    const found = within(lots, lot);
    return found ? `${found.hop} (lot)` : 'a lot, removed';
  }
  if (design !== null) {
    const found = within(designs, design);
    return found ? `“${titleOf(found)}”` : 'a design, removed';
  }
  if (batch !== null) {
    const found = within(batches, batch);
    return found ? `the batch “${found.name}”` : 'a batch, removed';
  }
  return isSingle(key) ? SINGLE_NAMES[key] : 'a part of a kind not known here';
}

/** Unreadable parts named, and the longest reason, in characters. */
const SHOWN = 3;
const REASON_MAX = 300;

/** Parts of others that this page cannot read: the first few, the rest counted. */
export function unreadProblems(
  document: WorkspaceDocument,
  unreadable: ReadonlyMap<string, string>,
): Problem[] {
  const cure =
    'Reload this page on every device, so that all have the same version; where that does not help, change or remove the part on the device that made it';
  const first = [...unreadable].slice(0, SHOWN);
  const shown = first.map(([key, reason]): Problem => {
    const message = reason.length > REASON_MAX ? `${reason.slice(0, REASON_MAX)}…` : reason;
    return { path: changedPart(document, key), message, cure };
  });
  const more = unreadable.size - shown.length;
  if (more === 0) return shown;
  return [...shown, { path: 'others', message: `${more} more parts likewise`, cure }];
}

/** When, by the clock of the device that says so: never later than now, for clocks may be wrong. */
export function timeOf(at: number): string {
  const known = new Date(Math.max(0, Math.min(at, Date.now())));
  const isToday = known.toDateString() === new Date().toDateString();
  return known.toLocaleString('en', {
    ...(!isToday && { dateStyle: 'medium' }),
    timeStyle: 'short',
  });
}
