// Designs side by side: what each gives, and where a difference from the first could be noticed in the
// glass. Predicts anew from the kept additions. Loads the hop table.
import type { AxisId } from '#shared/ids.ts';
import type { Prediction } from '#shared/answer.ts';
import type { AxisChange } from '#shared/comparison.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Addition, Schedule, Target } from '#shared/schemas/brief.ts';
import type { WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { predict } from '#engine/answer.ts';
import { defaultValues, model } from '#engine/model.ts';
import { axisChanges, profileOf } from '#optimize/profile.ts';
import { titleOf } from './documents.ts';

/** The id that stands for the usual schedule. */
export const USUAL_ID = 'usual';
export const COMPARED_AT_MOST = 4;

/** What can be chosen: a design with a blend, or the usual schedule. */
export interface Choice {
  readonly id: string;
  readonly title: string;
  /** `null` where a design has not been answered yet. */
  readonly schedule: Schedule | null;
  readonly target: Target;
}

export interface Column {
  readonly id: string;
  readonly title: string;
  readonly schedule: Schedule;
  readonly additions: readonly Addition[];
  readonly target: Target;
  readonly prediction: Prediction;
  /** Against the first column; `null` for that itself. */
  readonly changes: Readonly<Record<AxisId, AxisChange>> | null;
}

export function choicesOf({ designs, usual }: WorkspaceDocument): Choice[] {
  return [
    ...designs.map((design): Choice => {
      const { name, batch, stages, target } = design.brief;
      const schedule = design.blend?.length
        ? { name, batch, stages, additions: design.blend }
        : null;
      return { id: design.id, title: titleOf(design), schedule, target };
    }),
    ...(usual
      ? [{ id: USUAL_ID, title: usual.name || 'Usual schedule', schedule: usual, target: {} }]
      : []),
  ];
}

/** The just noticeable difference in concentration, a fraction. */
export const justNoticeable = defaultValues(model)['aroma.jnd'];

/** The chosen ones, the first as the measure of the others. Fails where one cannot be predicted. */
export function columnsOf(choices: readonly Choice[]): Outcome<Column[]> {
  const columns: Column[] = [];
  for (const { id, title, schedule, target } of choices) {
    if (!schedule) continue;
    const profile = profileOf(model, schedule);
    if (!profile.ok) {
      return failure(...profile.problems.map((p) => ({ ...p, path: `${title}: ${p.path}` })));
    }
    const prediction = predict(model, profile.value.design);
    const first = columns[0] && profileOf(model, columns[0].schedule);
    const changes = first?.ok ? axisChanges(model, first.value, prediction, justNoticeable) : null;
    const additions = schedule.additions.filter(({ grams }) => grams > 0);
    columns.push({ id, title, schedule, additions, target, prediction, changes });
  }
  return success(columns);
}
