// The most hops the search puts into a hot stage where a brief says nothing of it. Nothing in the model
// makes them bring less by the gram, as the load does in the dry hop, so that a bound has to be set.
import type { Limits, Schedule } from '#shared/schemas/brief.ts';
import type { GramsPerLitre } from '#shared/units.ts';
import { kindNamed } from '#shared/stages/kinds.ts';
import { stagesOf } from '#shared/stages/stages.ts';
import { defaultValues, type Model } from '#engine/tables/model.ts';

/**
 * The limits with a most for each hot stage in use: as stated, else what is usual, or what the given
 * additions come to there where that is more.
 */
export function withUsualDoses(
  model: Model,
  limits: Limits,
  { batch, stages, additions }: Pick<Schedule, 'batch' | 'stages' | 'additions'>,
): Limits {
  const usual = defaultValues(model)['warn.hot_dose'];
  const most: Record<string, GramsPerLitre> = { ...limits.stage_at_most_g_per_l };
  for (const { key: stage, kind } of stagesOf(stages)) {
    if (kindNamed(kind).isCold) continue;
    const given = additions.reduce((sum, a) => sum + (a.stage === stage ? a.grams : 0), 0);
    most[stage] ??= Math.max(usual, given / batch.beer_l);
  }
  return { ...limits, stage_at_most_g_per_l: most };
}
