// Ways to start: every profile by name can be reached, a hop's own profile is what it gives, and "like
// this, lighter" is answered with less and without a noticeable difference. And designs side by side.
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { AXES, FORMS } from '#shared/ids.ts';
import { briefSchema, type Brief, type Schedule } from '#shared/schemas/brief.ts';
import { model } from '#engine/tables/model.ts';
import { profileOf } from '#optimize/problem/profile.ts';
import { design } from '#optimize/questions/design.ts';
import {
  askedOf,
  choicesOf,
  columnsOf,
  USUAL_ID,
  type ComparisonChoice,
} from '#state/workspace/comparing.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { sideBySide } from '#optimize/questions/side-by-side.ts';
import { blankBrief, savedDesign, workspaceOf } from '#state/documents/documents.ts';
import { likeHop, likeSchedule, offeredHops } from '#state/workspace/starting.ts';
import { STARTING_PROFILES } from '#state/workspace/starting-profiles.ts';

const like = SEED_BRIEFS[0]!.brief;
/** An invented schedule, richly hopped. */
const rich: Schedule = {
  name: 'House ale',
  batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 180 },
  stages: {
    hot_steep: { temp_c: 80, minutes: 20, closed: false },
    dry_hop: { temp_c: 14, hours: 72, mixed: false, live_yeast: false },
  },
  additions: [
    { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 100, price_per_kg: 44 },
    { hop: 'Centennial', form: 'pellet_90', stage: 'hot_steep', grams: 60, price_per_kg: 29 },
  ],
};

/** What the thread answers, as columns. */
function compare(choices: readonly ComparisonChoice[]) {
  const found = finished(sideBySide(model, askedOf(choices)));
  if (!found.ok) throw new Error('not compared');
  return columnsOf(choices, found.value);
}

describe('a profile by name', () => {
  it.each(STARTING_PROFILES)('$name can be reached', ({ name, target }) => {
    const brief = briefSchema.parse({ ...blankBrief(like, name), target });
    const outcome = design(model, brief);
    expect(outcome.ok && outcome.value.status).not.toBe('closest');
    expect(outcome.ok && outcome.value.blends[0]!.worst_miss).toBeLessThan(0.05);
  });
});

describe('forms and doses by stage', () => {
  const boiled = { ...rich, stages: { ...rich.stages, boil: { minutes: 60 } } };
  const limits = { ban: [], require: [] };
  const limitsOf = (additions: Schedule['additions']) => {
    const made = likeSchedule({ ...boiled, additions }, 'Lighter', { candidates: 'table', limits });
    if (!made.ok) throw new Error('refused');
    return made.value.limits;
  };

  it('are the usual ones, and those a schedule of the person has there', () => {
    expect(limitsOf(rich.additions)).toMatchObject({
      stage_forms: { boil: ['pellet_90', 'cone'] },
      stage_at_most_g_per_l: { boil: 5, hot_steep: 5 },
    });
    const own = { hop: 'Simcoe', form: 'pellet_enriched', stage: 'boil', grams: 13 } as const;
    expect(limitsOf([...rich.additions, own]).stage_forms).toEqual({ boil: [...FORMS] });
    const steeped = { hop: 'Citra', form: 'pellet_90', stage: 'hot_steep', grams: 100 } as const;
    const { stage_at_most_g_per_l: mosts } = limitsOf([...rich.additions, steeped]);
    expect(mosts).toEqual({ boil: 5, hot_steep: 8 });
  });

  it('keep an enriched pellet out of the boil of a new design that asks for bitterness', () => {
    const { stages } = boiled;
    const blank = blankBrief({ ...like, stages, limits }, 'Pine and pith');
    const bitter = { ...blank.limits, ibu_at_least: 45, ibu_at_most: 70 };
    const target: Brief['target'] = { resin: { aim: 2.8, within: 0.2 }, citrus: { at_least: 2.3 } };
    const designed = (change: Partial<Brief['limits']>) => {
      const brief = briefSchema.parse({ ...blank, target, limits: { ...bitter, ...change } });
      const outcome = design(model, brief, { band: { samples: 20, seed: 1 } });
      if (!outcome.ok) throw new Error('refused');
      return outcome.value.blends[0]!;
    };
    const inBoil = ({ additions }: ReturnType<typeof designed>) =>
      additions.filter((a) => a.stage === 'boil').map((a) => a.form);
    const free = designed({ stage_forms: undefined, holds_in_lots_at_least: undefined });
    expect(inBoil(free)).toContain('pellet_enriched');
    const usual = designed({ holds_in_lots_at_least: undefined });
    expect(inBoil(usual).length).toBeGreaterThan(0);
    expect(inBoil(usual)).not.toContain('pellet_enriched');
    expect(usual.misses).toEqual([]);
  });
});

describe('one hop', () => {
  it('gives as wishes what it gives in the glass', () => {
    expect(offeredHops()).toContain('Citra');
    const dose = { hop: 'Citra', form: 'pellet_90', g_per_l: 4 } as const;
    const outcome = likeHop(like, 'Citra alone', dose);
    if (!outcome.ok) throw new Error('refused');
    const brief = briefSchema.parse(outcome.value);
    const additions = [{ hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 80 } as const];
    const profile = profileOf(model, {
      ...rich,
      batch: like.batch,
      stages: like.stages,
      additions,
    });
    if (!profile.ok) throw new Error('no profile');
    for (const axis of AXES) {
      const intensity = profile.value.intensities[axis];
      const aim = brief.target[axis]?.aim;
      if (intensity < 1) expect(aim).toBeUndefined();
      else expect(aim).toBeCloseTo(intensity, 1);
    }
  });

  it('that the table does not hold is refused', () => {
    const outcome = likeHop(like, 'x', { hop: 'No such hop', form: 'cone', g_per_l: 4 });
    expect(outcome.ok).toBe(false);
  });
});

describe('like this, lighter', () => {
  it('is lighter, and no note differs noticeably', () => {
    const scale = { smallest_addition_g: 4, weigh_step_g: 2 };
    const limits = { ban: [], require: [], hops_at_most: 1, ...scale };
    const brief = likeSchedule(rich, 'Lighter', { candidates: 'table', limits });
    if (!brief.ok) throw new Error('refused');
    expect(brief.value.limits).toMatchObject(scale);
    expect(brief.value.limits.hops_at_most).toBeUndefined();
    const outcome = design(model, briefSchema.parse(brief.value));
    if (!outcome.ok) throw new Error('no answer');
    const blend = outcome.value.blends[0]!;
    expect(blend.worst_miss).toBeLessThan(0.01);
    expect(blend.totals.hop_g).toBeLessThan(160);
    for (const { grams } of blend.additions) {
      expect(grams % 2).toBe(0);
      expect(grams).toBeGreaterThanOrEqual(4);
    }

    const lighter = savedDesign(brief.value, { blend: [...blend.additions] });
    const choices = choicesOf({ ...workspaceOf([lighter]), usual: rich }).reverse();
    expect(choices[0]!.id).toBe(USUAL_ID);
    const compared = compare(choices);
    expect(compared[0]!.changes).toBeNull();
    const { changes } = compared[1]!;
    expect(AXES.filter((axis) => changes![axis].noticeable)).toEqual([]);
  });
});

describe('side by side', () => {
  it('marks the notes that differ by more than a quarter in concentration, and only those', () => {
    const [citra] = rich.additions;
    const single = { ...rich, additions: [citra!] };
    const choice = (id: string, grams: number) => ({
      id,
      title: id,
      target: {},
      schedule: { ...single, additions: [{ ...citra!, grams }] },
    });
    const compared = compare([choice('a', 100), choice('b', 105), choice('c', 200)]);
    const marked = compared.map(
      ({ changes }) => changes && AXES.filter((axis) => changes[axis].noticeable).length,
    );
    expect(marked[0]).toBeNull();
    expect(marked[1]).toBe(0);
    expect(marked[2]).toBeGreaterThan(0);
  });

  it('says by its title which one cannot be predicted', () => {
    const missing = { ...rich, additions: [{ ...rich.additions[0]!, hop: 'Nobody knows' }] };
    const found = finished(
      sideBySide(model, [
        { title: 'one', schedule: rich },
        { title: 'two', schedule: missing },
      ]),
    );
    expect(found).toMatchObject({
      ok: false,
      problems: [{ path: expect.stringMatching(/^two: additions/) as string }],
    });
  });

  it('offers a design without a blend, but not to compare', () => {
    const [choice] = choicesOf(workspaceOf([savedDesign(like)]));
    expect(choice!.schedule).toBeNull();
  });
});
