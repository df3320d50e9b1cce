// Designs side by side: what each gives, and where a difference from the first could be noticed in the
// glass. Predicts anew from the kept additions. Loads the hop table.
import type { AxisId } from '#shared/ids.ts';
import type { Prediction } from '#shared/answers/answer.ts';
import type { AxisChange } from '#shared/answers/comparison.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Addition, Schedule, Target } from '#shared/schemas/brief.ts';
import type { WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { predict } from '#engine/answer/answer.ts';
import { NO_KNOWLEDGE, type OwnKnowledge } from '#shared/schemas/knowledge.ts';
import { knownModel } from '#engine/doubt/known.ts';
import { defaultValues, model, modelFor } from '#engine/tables/model.ts';
import { axisChanges, profileOf, type Profile } from '#optimize/problem/profile.ts';
import { scheduleOf, titleOf } from '#state/documents/documents.ts';
import { ownPrices, pricedBy, pricesOf } from '#state/stock/stock-prices.ts';

/** The id that stands for the usual schedule. */
export const USUAL_ID = 'usual';
export const COMPARED_AT_MOST = 4;

/** What can be chosen: a design with a blend, or the usual schedule. */
export interface ComparisonChoice {
  readonly id: string;
  readonly title: string;
  /** `null` where a design has not been answered yet. */
  readonly schedule: Schedule | null;
  readonly target: Target;
}

export interface ComparisonColumn {
  readonly id: string;
  readonly title: string;
  readonly schedule: Schedule;
  readonly additions: readonly Addition[];
  readonly target: Target;
  readonly prediction: Prediction;
  /** Against the first column; `null` for that itself. */
  readonly changes: Readonly<Record<AxisId, AxisChange>> | null;
}

/** What has no price of its own is paid as the stock's lots of the same hop and form are. */
export function choicesOf({
  designs,
  usual,
  lots,
  own_tables,
}: WorkspaceDocument): ComparisonChoice[] {
  const prices = pricesOf([...lots, ...ownPrices(own_tables ?? null)]);
  const priced = (schedule: Schedule) => ({
    ...schedule,
    additions: pricedBy(schedule.additions, prices),
  });
  return [
    ...designs.map((design): ComparisonChoice => {
      const { id, brief } = design;
      const schedule = scheduleOf(design);
      return {
        id,
        title: titleOf(design),
        schedule: schedule && priced(schedule),
        target: brief.target,
      };
    }),
    ...(usual
      ? [
          {
            id: USUAL_ID,
            title: usual.name || 'Usual schedule',
            schedule: priced(usual),
            target: {},
          },
        ]
      : []),
  ];
}

/** The just noticeable difference in concentration, a fraction. */
export const justNoticeable = defaultValues(model)['aroma.jnd'];

/**
 * The chosen ones, the first as the measure of the others: all are judged by its odour thresholds.
 * Fails where one cannot be predicted.
 */
export function columnsOf(
  choices: readonly ComparisonChoice[],
  knowledge: OwnKnowledge = NO_KNOWLEDGE,
): Outcome<ComparisonColumn[]> {
  const columns: ComparisonColumn[] = [];
  const judge = modelFor(knownModel(model, knowledge), choices[0]?.schedule ?? {});
  let first: Profile | null = null;
  for (const { id, title, schedule, target } of choices) {
    if (!schedule) continue;
    const profile = profileOf(judge, schedule);
    if (!profile.ok) {
      return failure(...profile.problems.map((p) => ({ ...p, path: `${title}: ${p.path}` })));
    }
    const prediction = predict(judge, profile.value.design);
    const changes = first && axisChanges(judge, first, prediction, justNoticeable);
    first ??= profile.value;
    const additions = schedule.additions.filter(({ grams }) => grams > 0);
    columns.push({ id, title, schedule, additions, target, prediction, changes });
  }
  return success(columns);
}
