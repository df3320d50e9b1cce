// Briefs to start from: the aroma of one hop at a dose, or a known schedule to be reached with fewer hops.
// Loads the hop table, so it is itself loaded on demand.
import { AXES, type FormId } from '#shared/ids.ts';
import type { Outcome } from '#shared/outcome.ts';
import { success } from '#shared/outcome.ts';
import { judgingOf, type Brief, type Schedule, type Target } from '#shared/schemas/brief.ts';
import { usualStageLimits } from '#shared/schemas/stage-limits.ts';
import { defaultValues, model, modelFor } from '#engine/tables/model.ts';
import { ibuWindow } from '#optimize/problem/ibu-window.ts';
import { profileOf, unnoticed } from '#optimize/problem/profile.ts';
import { withKind } from '#shared/stages/naming.ts';
import type { GramsPerLitre } from '#shared/units.ts';
import { blankBrief, scaleOf, scheduleFor } from '#state/documents/documents.ts';
import { NEW_WITHIN, tenth } from '#state/documents/wish.ts';

/** Least intensity of a hop's note that becomes a wish: just noticeable. */
const NOTICED = 1;

export interface HopDose {
  readonly hop: string;
  readonly form: FormId;
  /** Dry hop, g/L. */
  readonly g_per_l: GramsPerLitre;
}

/** Names of the table's hops whose figures are complete enough for a design. */
export function offeredHops(): string[] {
  return model.hops.filter((hop) => hop.missing.length === 0).map(({ name }) => name);
}

/**
 * Wishes for what one hop alone gives as a dry hop, axis by axis; notes below the noticeable are left free.
 * Batch, stages and candidates are those of `like`; a dry hop is added where `like` has none.
 */
export function likeHop(
  like: Brief,
  name: string,
  { hop, form, g_per_l }: HopDose,
): Outcome<Brief> {
  const blank = blankBrief(like, name);
  const { stages, key } = withKind(blank.stages, 'dry_hop');
  const grams = g_per_l * like.batch.beer_l;
  const additions = [{ hop, form, stage: key, grams }];
  const schedule = scheduleFor({ ...blank, stages }, additions);
  const profile = profileOf(modelFor(model, schedule), schedule);
  if (!profile.ok) return profile;
  const { intensities } = profile.value;
  const target: Target = Object.fromEntries(
    AXES.filter((axis) => intensities[axis] >= NOTICED).map((axis) => [
      axis,
      { aim: tenth(intensities[axis]), within: NEW_WITHIN },
    ]),
  );
  return success({ ...blank, stages, target });
}

/**
 * The profile of a schedule as wishes that cannot be told apart from it, with its bitterness and the least
 * weight; weighed out by the scale of `limits`.
 */
export function likeSchedule(
  schedule: Schedule,
  name: string,
  { candidates, limits }: Pick<Brief, 'candidates' | 'limits'>,
): Outcome<Brief> {
  const its = modelFor(model, schedule);
  const profile = profileOf(its, schedule);
  if (!profile.ok) return profile;
  const ibu = ibuWindow(profile.value);
  const { batch, stages } = schedule;
  return success({
    ...judgingOf(schedule),
    name,
    batch,
    stages,
    target: unnoticed(its, profile.value, defaultValues(model)['aroma.jnd']),
    limits: {
      // Rounded outwards, because otherwise the schedule itself could miss them.
      ibu_at_least: Math.floor(ibu.atLeast * 10) / 10,
      ibu_at_most: Math.ceil(ibu.atMost * 10) / 10,
      ban: [],
      require: [],
      ...usualStageLimits(schedule),
      ...scaleOf(limits),
    },
    minimise: 'weight',
    candidates,
  });
}
