// A new design in the workspace, opened, under a name that is free.
import type { Brief } from '#shared/schemas/brief.ts';
import { freeName, savedDesign, withNewDesign } from '#state/documents/documents.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';

/** @returns what the schema finds wrong with the brief; then nothing has changed. */
export function startDesign(workspace: Workspace, brief: Brief): string | null {
  const name = freeName(workspace.document, brief.name);
  const design = savedDesign({ ...brief, name });
  return workspace.edit(`new “${name}”`, (d) => withNewDesign(d, design));
}

/** Dose a hop is designed after where nobody says another one: a usual dry hop, g/L. */
export const SINGLE_HOP_G_PER_L = 4;
