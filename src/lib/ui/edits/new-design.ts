// A new design in the workspace, opened, under a name that is free.
import type { Brief } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { ownOf } from '#state/documents/by-hand.ts';
import { freeName, savedDesign, withNewDesign, withoutDemo } from '#state/documents/documents.ts';
import { blendAt, briefAt } from '#state/documents/batch-size.ts';
import { plainSpaces, significant } from '#wording/format.ts';
import type { Workbench } from '#state/workbench/workbench.svelte.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';

/** @returns what the schema finds wrong with the brief; then nothing has changed. */
export function startDesign(workspace: Workspace, brief: Brief): string | null {
  const name = freeName(workspace.document, brief.name);
  const design = savedDesign({ ...brief, name });
  return workspace.edit(`new “${name}”`, (d) => withNewDesign(d, design));
}

/** Puts the demo away: what is left is one's own, or a blank design and an empty stock. One step. */
export function startOwn(workspace: Workspace): string | null {
  return workspace.edit('start with your own', (d) => withoutDemo(d));
}

/**
 * Opens the shown blend at another volume of beer, L, as a design of its own: in the doses it has, or
 * designed anew for the same wishes.
 * @returns what the schema finds wrong with it; then nothing has changed.
 */
export function brewAt(
  workspace: Workspace,
  workbench: Workbench,
  beerL: number,
  how: 'same blend' | 'anew',
): string | null {
  const { shownBrief, rows } = workbench;
  const litres = `${significant(beerL)} L`;
  const name = freeName(workspace.document, `${shownBrief.name}, ${litres}`);
  const brief = { ...briefAt(shownBrief, beerL), name };
  const own = [...blendAt(rows, shownBrief, beerL)];
  const design = savedDesign(brief, how === 'anew' ? {} : { own });
  return workspace.edit(`brew it at ${litres}`, (d) => withNewDesign(d, design));
}

/**
 * Keeps a blend that could take the place of the shown one as a design of its own, opened, beside the one
 * that is shown. One step.
 * @param title what sets it apart.
 * @returns the two, before and after; or why it cannot be, then nothing has changed.
 */
export function keepBeside(
  workspace: Workspace,
  { shownBrief }: Workbench,
  title: string,
  additions: readonly Addition[],
): { readonly refusal: string | null; readonly ids: readonly string[] } {
  const before = workspace.open.id;
  const name = freeName(workspace.document, `${shownBrief.name}, ${plainSpaces(title)}`);
  const brief = { ...shownBrief, name };
  const after = savedDesign(brief, { own: ownOf(additions, brief) });
  const refusal = workspace.edit(`keep “${name}” beside`, (d) => withNewDesign(d, after));
  return { refusal, ids: [before, after.id] };
}

/** Dose a hop is designed after where nobody says another one: a usual dry hop, g/L. */
export const SINGLE_HOP_G_PER_L = 4;
