// The edits of stages the screen can make, each with the name that undo shows.
import type { FormId } from '#shared/ids.ts';
import { advice, type Outcome } from '#shared/outcome.ts';
import { withStageForms } from '#shared/schemas/stage-limits.ts';
import type { SavedDesign } from '#shared/schemas/workspace.ts';
import { spokenStage, type StageKind } from '#shared/stages/kinds.ts';
import type { Stages, StageUse } from '#shared/stages/stages.ts';
import { openDesign, withDesign } from '#state/documents/documents.ts';
import {
  withoutStage,
  withStageAdded,
  withStageMoved,
  withStageRenamed,
} from '#state/documents/stages.ts';
import type { Workbench } from '#state/workbench/workbench.svelte.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';
import { setLimits } from './edits.ts';

/** Changes conditions of a stage; one that is `undefined` is left out. */
export function setStage(
  workbench: Workbench,
  { key }: StageUse,
  change: Readonly<Record<string, unknown>>,
): string | null {
  return workbench.edit(`change ${spokenStage(key)}`, (b) => ({
    ...b,
    stages: { ...b.stages, [key]: { ...b.stages[key], ...change } } as Stages,
  }));
}

/** Sets the largest dose of a stage, g/L; `undefined` for none. */
export function setStageMost(
  workbench: Workbench,
  key: string,
  most: number | undefined,
): string | null {
  const { [key]: _, ...others } = workbench.brief.limits.stage_at_most_g_per_l ?? {};
  const all = most === undefined ? others : { ...others, [key]: most };
  return setLimits(workbench, `change the most in the ${spokenStage(key)}`, {
    stage_at_most_g_per_l: Object.keys(all).length > 0 ? all : undefined,
  });
}

/** Sets the forms a stage takes hops in; `undefined` for all. */
export function setStageForms(
  workbench: Workbench,
  name: string,
  key: string,
  forms: readonly FormId[] | undefined,
): string | null {
  return setLimits(workbench, name, {
    stage_forms: withStageForms(workbench.brief.limits, key, forms),
  });
}

/** Adds a stage of a kind. @returns why it cannot be. */
export function addStage(workspace: Workspace, kind: StageKind): string | null {
  const added = withStageAdded(workspace.open.brief, kind);
  if (!added.ok) return added.problems.map(advice).join(' ');
  const { brief, key } = added.value;
  return workspace.editBrief(`add ${spokenStage(key)}`, () => brief);
}

/** Puts a stage one place earlier (-1) or later (1). */
export function moveStage(workbench: Workbench, key: string, by: -1 | 1): string | null {
  const name = `move ${spokenStage(key)} ${by < 0 ? 'earlier' : 'later'}`;
  return workbench.edit(name, (brief) => withStageMoved(brief, key, by));
}

/** Takes a change of the open design in as one step. */
function edited(workspace: Workspace, name: string, changed: Outcome<SavedDesign>): string | null {
  if (!changed.ok) return changed.problems.map(advice).join(' ');
  const design = changed.value;
  if (design === openDesign(workspace.document)) return null;
  return workspace.edit(name, (document) => withDesign(document, design));
}

/** Gives a stage another name. @returns why it cannot be. */
export function renameStage(workspace: Workspace, key: string, name: string): string | null {
  const renamed = withStageRenamed(workspace.open, key, name);
  return edited(workspace, `rename ${spokenStage(key)}`, renamed);
}

/** Takes a stage out. @returns why it cannot be. */
export function removeStage(workspace: Workspace, key: string): string | null {
  return edited(workspace, `remove ${spokenStage(key)}`, withoutStage(workspace.open, key));
}
