// Stages of a design added, renamed, ordered and removed: everything that names a stage follows, the
// document stays sound, and what cannot be is refused with a cure.
import { describe, expect, it } from 'vitest';
import { advice, type Outcome } from '#shared/outcome.ts';
import { briefSchema } from '#shared/schemas/brief.ts';
import { savedDesignSchema, type SavedDesign } from '#shared/schemas/workspace.ts';
import { STAGES_MAX, stagesOf } from '#shared/stages/stages.ts';
import { savedDesign } from '#state/documents/documents.ts';
import {
  atStages,
  withoutStage,
  withStageAdded,
  withStageMoved,
  withStageRenamed,
} from '#state/documents/stages.ts';

const dry = { temp_c: 14, hours: 72 };
const at = (stage: string, grams = 20) => {
  return { hop: 'Citra', form: 'pellet_90' as const, stage, grams };
};
const brief = briefSchema.parse({
  batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 200 },
  stages: { dry_hop: dry, late: { kind: 'boil', minutes: 10 } },
  target: {},
  limits: { stage_at_most_g_per_l: { dry_hop: 5 }, stage_forms: { dry_hop: ['cone'] } },
  keep: [at('dry_hop')],
  candidates: 'table',
});
const saved: SavedDesign = savedDesign(brief, {
  blend: [at('dry_hop'), at('late')],
  own: [{ ...at('late'), locked: true }],
});
const keys = (design: Pick<SavedDesign, 'brief'>) =>
  stagesOf(design.brief.stages).map(({ key }) => key);
const refusal = (outcome: Outcome<unknown>) =>
  outcome.ok ? null : outcome.problems.map(advice).join(' ');
function sound(outcome: Outcome<SavedDesign>): SavedDesign {
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  expect(savedDesignSchema.safeParse(outcome.value).success).toBe(true);
  return outcome.value;
}

describe('a stage', () => {
  it('is added under its usual conditions and a name of its own, up to eight', () => {
    let now = brief;
    for (const key of [
      'Dry hop 2',
      'Dry hop 3',
      'Dry hop 4',
      'Dry hop 5',
      'Dry hop 6',
      'Dry hop 7',
    ]) {
      const added = withStageAdded(now, 'dry_hop');
      expect(added.ok && added.value.key).toBe(key);
      if (added.ok) now = added.value.brief;
    }
    expect(Object.keys(now.stages)).toHaveLength(STAGES_MAX);
    expect(briefSchema.safeParse(now).success).toBe(true);
    expect(refusal(withStageAdded(now, 'mash'))).toBe(
      'there are 8 stages, the most there can be. Remove one first, or put hops of about the same time in one stage.',
    );
  });

  it('is renamed with everything that names it, and back to its kind', () => {
    const renamed = sound(withStageRenamed(saved, 'dry_hop', ' Second, day 4 '));
    expect(keys(renamed)).toEqual(['late', 'Second, day 4']);
    expect(renamed.brief.limits.stage_at_most_g_per_l).toEqual({ 'Second, day 4': 5 });
    expect(renamed.brief.limits.stage_forms).toEqual({ 'Second, day 4': ['cone'] });
    expect(renamed.brief.keep?.[0]?.stage).toBe('Second, day 4');
    expect(renamed.blend?.map((a) => a.stage)).toEqual(['Second, day 4', 'late']);
    expect(sound(withStageRenamed(renamed, 'Second, day 4', 'Dry hop'))).toEqual(saved);
    expect(sound(withStageRenamed(saved, 'late', 'late'))).toBe(saved);
  });

  it.each([
    ['', /no stage can be called/],
    ['60', /no stage can be called “60”\. Name it with up to 40 letters/],
    ['Late', /a stage is called late already\. Give it another name/],
    ['mash', /means another kind of stage\. Give it another name/],
  ])('is not renamed to “%s”', (name, expected) => {
    expect(refusal(withStageRenamed(saved, 'dry_hop', name))).toMatch(expected);
  });

  it('is added with the forms and the dose brewers use there, what other stages take staying as it is', () => {
    const added = withStageAdded(brief, 'boil');
    if (!added.ok) throw new Error('a stage more is refused');
    const { limits, stages } = added.value.brief;
    expect(limits.stage_forms).toEqual({ dry_hop: ['cone'], boil: ['pellet_90', 'cone'] });
    expect(limits.stage_at_most_g_per_l).toEqual({ dry_hop: 5, boil: 5 });
    expect(stages).toHaveProperty('boil');
    const steeped = withStageAdded(added.value.brief, 'hot_steep');
    expect(steeped.ok && steeped.value.brief.limits).toMatchObject({
      stage_at_most_g_per_l: { dry_hop: 5, boil: 5, hot_steep: 5 },
      stage_forms: limits.stage_forms,
    });
  });

  it('is removed with its limits, unless hops were put there by hand', () => {
    const free = { ...saved, brief: { ...brief, keep: [] } };
    const left = sound(withoutStage(free, 'dry_hop'));
    expect(keys(left)).toEqual(['late']);
    expect(left.brief.limits).not.toHaveProperty('stage_at_most_g_per_l');
    expect(left.brief.limits).not.toHaveProperty('stage_forms');
    expect(left).not.toHaveProperty('blend');
    expect(refusal(withoutStage(saved, 'late'))).toBe(
      'Citra goes in at late. Move or remove these hops under Edit by hand first.',
    );
    expect(refusal(withoutStage(saved, 'dry_hop'))).toMatch(/Citra goes in at dry hop/);
  });

  it('is no longer limited in a brief at the stages of a batch that had it under another name', () => {
    const renamed = sound(withStageRenamed(saved, 'late', 'Last ten minutes')).brief;
    const limits = {
      ...renamed.limits,
      stage_forms: { ...renamed.limits.stage_forms, 'Last ten minutes': ['pellet_90' as const] },
    };
    const brewed = atStages({ ...renamed, limits }, brief.stages);
    expect(brewed.stages).toBe(brief.stages);
    expect(brewed.limits).toEqual(brief.limits);
    expect(briefSchema.safeParse(brewed).success).toBe(true);
  });

  it('moves among those of its kind alone', () => {
    const added = withStageAdded(brief, 'dry_hop');
    if (!added.ok) throw new Error();
    const two = added.value.brief;
    expect(keys({ brief: two })).toEqual(['late', 'dry_hop', 'Dry hop 2']);
    const moved = withStageMoved(two, 'Dry hop 2', -1);
    expect(keys({ brief: moved })).toEqual(['late', 'Dry hop 2', 'dry_hop']);
    // As it is saved and read again, too.
    expect(keys({ brief: briefSchema.parse(moved) })).toEqual(['late', 'Dry hop 2', 'dry_hop']);
    expect(withStageMoved(two, 'Dry hop 2', 1)).toBe(two);
    expect(withStageMoved(two, 'late', -1)).toBe(two);
  });
});
