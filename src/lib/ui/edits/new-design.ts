// A new design in the workspace, opened, under a name that is free.
import type { Brief } from '#shared/schemas/brief.ts';
import { freeName, savedDesign, withNewDesign, withoutDemo } from '#state/documents/documents.ts';
import { blendAt, briefAt } from '#state/documents/batch-size.ts';
import { telling } from '#wording/format.ts';
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
  const litres = `${telling(beerL)} L`;
  const name = freeName(workspace.document, `${shownBrief.name}, ${litres}`);
  const brief = { ...briefAt(shownBrief, beerL), name };
  const own = [...blendAt(rows, shownBrief, beerL)];
  const design = savedDesign(brief, how === 'anew' ? {} : { own });
  return workspace.edit(`brew it at ${litres}`, (d) => withNewDesign(d, design));
}

/** Dose a hop is designed after where nobody says another one: a usual dry hop, g/L. */
export const SINGLE_HOP_G_PER_L = 4;
