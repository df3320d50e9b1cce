// The most a stage takes where a brief says nothing: 10 g/L if it is hot (common practice, no source), 20 if it
// is a dry hop (the heaviest a loss was read of), more only where somebody asks for more or already has it there.
import { describe, expect, it } from 'vitest';
import { model } from '#engine/tables/model.ts';
import { problemOf } from '#optimize/problem/stating.ts';
import { design } from '#optimize/questions/design.ts';
import { withUsualDoses } from '#optimize/problem/usual-doses.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';

const brief = (over: Partial<Brief> = {}): Brief =>
  briefSchema.parse({
    batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 200 },
    stages: {
      hot_steep: { temp_c: 80, minutes: 20, closed: false },
      dry_hop: { temp_c: 16, hours: 96, mixed: false, live_yeast: false },
    },
    target: { citrus: { at_least: 2 } },
    candidates: [{ hop: 'Citra', form: 'pellet_90' }],
    ...over,
  });
const steepMost = (asked: Brief) => {
  const problem = problemOf(model, asked);
  if (!problem.ok) throw new Error(JSON.stringify(problem.problems));
  const column = problem.value.columns.find(({ stage }) => stage === 'hot_steep');
  const row = problem.value.limits.find(
    ({ of }) => of.kind === 'stage' && of.stage === 'hot_steep',
  );
  return { column: column?.most, row: row?.most };
};

describe('hops of a stage', () => {
  it('are held at the usual dose unless the brief says otherwise', () => {
    expect(steepMost(brief())).toEqual({ column: 10, row: 10 });
    const stated = { stage_at_most_g_per_l: { hot_steep: 25 }, ban: [], require: [] };
    expect(steepMost(brief({ limits: stated }))).toEqual({ column: 25, row: 25 });
  });

  it('count those that are kept, and never forbid them', () => {
    const kept = (grams: number) =>
      brief({ keep: [{ hop: 'Cascade', form: 'pellet_90', stage: 'hot_steep', grams }] });
    expect(steepMost(kept(120)).row).toBeCloseTo(4, 9);
    // 16 g/L are there already: nothing comes on top, and nothing is out of reach for it.
    expect(steepMost(kept(320))).toEqual({ column: undefined, row: 0 });
  });

  it('of a dry hop are held at the heaviest load read of, whatever a wish would take', () => {
    const { limits, batch, stages } = brief();
    const { stage_at_most_g_per_l: most } = withUsualDoses(model, limits, {
      ...{ batch, stages, additions: [] },
    });
    expect(most).toEqual({ hot_steep: 10, dry_hop: 20 });
    // A dry hop alone makes a beer that bitter only at hundreds of grams.
    const asked = brief({ limits: { ibu_at_least: 80, ban: [], require: [] } });
    const designed = (limited: Brief) => {
      const outcome = design(model, limited, { band: { samples: 20, seed: 1 } });
      if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
      const { blends, why } = outcome.value;
      const dry = blends[0]!.additions.filter((a) => a.stage === 'dry_hop');
      return { grams: dry.reduce((sum, a) => sum + a.grams, 0), notes: why.notes.join() };
    };
    const usual = designed(asked);
    expect(usual.grams).toBeLessThanOrEqual(400);
    expect(usual.notes).toContain('Into the dry hop go at most 20 g/L, unless limits.stage_at');
    const stated = { ...asked.limits, stage_at_most_g_per_l: { dry_hop: 40 } };
    const lifted = designed({ ...asked, limits: stated });
    expect(lifted.grams).toBeGreaterThan(400);
    expect(lifted.notes).not.toContain('Into the dry hop');
  });
});
