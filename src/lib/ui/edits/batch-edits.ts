// The edits of batches, each with the name that undo shows.
import type { SavedBatch } from '#shared/schemas/batch.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type { SavedDesign } from '#shared/schemas/workspace.ts';
import { NOTE_MAX } from '#shared/schemas/record.ts';
import { ownOf } from '#state/documents/by-hand.ts';
import {
  freeName,
  newBatch,
  savedDesign,
  titleOf,
  withBatch,
  withDesign,
  withNewDesign,
  withoutBatch,
} from '#state/documents/documents.ts';
import { atStages } from '#state/documents/stages.ts';
import { withDrawn, withPutBack } from '#state/stock/drawing.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';

/** Name of the edit of what the rest of a package is worth. */
const LEFTOVER_EDIT = 'change the value of what is left';

/** Begins a batch; gives its id, or what is wrong. */
export function startBatch(
  workspace: Workspace,
  design: SavedDesign,
  schedule: Schedule,
  brewedOn: string | undefined,
): { readonly id: string } | { readonly fault: string } {
  const batch = newBatch(design, schedule, brewedOn);
  const fault = workspace.edit(`brew “${batch.name}”`, (d) => withBatch(d, batch));
  return fault === null ? { id: batch.id } : { fault };
}

/** @returns what is wrong with the batch after the edit; then nothing has changed. */
export function changeBatch(
  workspace: Workspace,
  batch: SavedBatch,
  what: string,
  fields: Partial<SavedBatch>,
  gesture: string | null = null,
): string | null {
  return workspace.edit(
    `${what} of “${batch.name}”`,
    (d) => withBatch(d, { ...batch, ...fields }),
    gesture === null ? null : `${batch.id} ${gesture}`,
  );
}

export function changeBrewed(
  workspace: Workspace,
  batch: SavedBatch,
  what: string,
  change: Partial<Schedule>,
): string | null {
  return changeBatch(workspace, batch, what, { brewed: { ...batch.brewed, ...change } });
}

export function changeAddition(
  workspace: Workspace,
  batch: SavedBatch,
  at: number,
  change: Partial<Addition>,
): string | null {
  const additions = batch.brewed.additions.map((a, i) => (i === at ? { ...a, ...change } : a));
  return changeBrewed(workspace, batch, `change ${additions[at]!.hop}`, { additions });
}

export function setDone(
  workspace: Workspace,
  batch: SavedBatch,
  step: { readonly id: string; readonly title: string },
  isDone: boolean,
): string | null {
  const others = batch.done.filter((id) => id !== step.id);
  const done = isDone ? [...others, step.id] : others;
  return changeBatch(workspace, batch, `${isDone ? 'tick' : 'untick'} ${step.title}`, { done });
}

export function removeBatch(workspace: Workspace, batch: SavedBatch): string | null {
  return workspace.edit(`remove “${batch.name}”`, (d) => withoutBatch(d, batch.id));
}

export function drawStock(workspace: Workspace, batch: SavedBatch): string | null {
  return workspace.edit(`take “${batch.name}” out of the stock`, (d) => withDrawn(d, batch));
}

export function putBackStock(workspace: Workspace, batch: SavedBatch): string | null {
  return workspace.edit(`put “${batch.name}” back into the stock`, (d) => withPutBack(d, batch));
}

/** A design that corrects the misses of a batch, opened; gives its name, or what is wrong. */
export function startNextBatch(
  workspace: Workspace,
  batch: SavedBatch,
  { brief }: SavedDesign,
  additions: readonly Addition[],
  note: string,
): { readonly title: string } | { readonly fault: string } {
  const name = freeName(workspace.document, titleOf({ brief }));
  const { batch: size, stages } = batch.brewed;
  const own = ownOf(additions, brief);
  const design = savedDesign(
    { ...atStages(brief, stages), name, batch: size },
    { own, follows: batch.id, note: note.slice(0, NOTE_MAX) },
  );
  const fault = workspace.edit(`next batch “${name}”`, (d) => withNewDesign(d, design));
  return fault === null ? { title: name } : { fault };
}

export function setDesignNote(workspace: Workspace, design: SavedDesign, note: string) {
  return workspace.edit(
    'notes for the brew day',
    (d) => withDesign(d, { ...design, note }),
    `${design.id} note`,
  );
}

/** What is left of packages keeps so much of its price, for a batch or for the open design. */
export function setLeftoverValue(
  workspace: Workspace,
  batch: SavedBatch | null,
  leftover_value_pct: number | undefined,
): string | null {
  if (batch) {
    const size = { ...batch.brewed.batch, leftover_value_pct };
    return changeBrewed(workspace, batch, LEFTOVER_EDIT, { batch: size });
  }
  const { open } = workspace;
  const size = { ...open.brief.batch, leftover_value_pct };
  return workspace.edit(LEFTOVER_EDIT, (d) =>
    withDesign(d, { ...open, brief: { ...open.brief, batch: size } }),
  );
}
