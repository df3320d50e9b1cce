// The most hops the search puts into a stage of which a brief says nothing: into a hot one the most that is usual,
// into a dry hop the heaviest load that a loss was read of. In a hot stage nothing in the model makes hops bring less
// by the gram; in a dry hop the load does, but its law was read no further, and a wish out of reach would take
// hundreds of g/L.
import type { Limits, Schedule } from '#shared/schemas/brief.ts';
import { doseAt } from '#shared/schemas/stage-limits.ts';
import type { GramsPerLitre } from '#shared/units.ts';
import { kindNamed, spokenStage } from '#shared/stages/kinds.ts';
import { stagesOf } from '#shared/stages/stages.ts';
import { defaultValues, type Model } from '#engine/tables/model.ts';

/**
 * The limits with a most for each stage in use: as stated, else as above, or what the given additions come to
 * there where that is more.
 */
export function withUsualDoses(
  model: Model,
  limits: Limits,
  schedule: Pick<Schedule, 'batch' | 'stages' | 'additions'>,
): Limits {
  const values = defaultValues(model);
  const most: Record<string, GramsPerLitre> = { ...limits.stage_at_most_g_per_l };
  for (const { key, kind } of stagesOf(schedule.stages)) {
    const usual = values[kindNamed(kind).isCold ? 'warn.dry_load_care' : 'warn.hot_dose'];
    most[key] ??= Math.max(usual, doseAt(schedule, key));
  }
  return { ...limits, stage_at_most_g_per_l: most };
}

/** What an answer says of a stage that such a most holds. */
export function heldAt(stage: string, most: GramsPerLitre): string {
  return `Into the ${spokenStage(stage)} go at most ${+most.toFixed(2)} g/L, unless limits.stage_at_most_g_per_l says otherwise`;
}
