// Windows too narrow for whole weighing steps: widened to a stated width, and said so.
import { describe, expect, it } from 'vitest';
import tropical from '#seeds/briefs/tropical.json' with { type: 'json' };
import { model } from '#engine/tables/model.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import { NARROWEST_IBU, weighable } from '#optimize/problem/weighable.ts';
import { design } from '#optimize/questions/design.ts';

function asked(limits: object, target: object = tropical.target): Brief {
  return briefSchema.parse({ ...tropical, target, limits: { ...tropical.limits, ...limits } });
}
const EXACT = { ibu_at_least: 20, ibu_at_most: 20 };

describe('a window too narrow to weigh for', () => {
  it('of bitterness is answered with a proven blend within 0.05 IBU of it, and a note', () => {
    const answer = design(model, asked(EXACT));
    if (!answer.ok) throw new Error(answer.problems[0]!.message);
    const { status, blends, why } = answer.value;
    expect(status).toBe('optimal');
    expect(Math.abs(blends[0]!.totals.ibu - 20)).toBeLessThanOrEqual(NARROWEST_IBU / 2 + 1e-4);
    expect(why.notes.join()).toContain('widened to 19.95 to 20.05');
  });

  it('stays to the letter where doses are free', () => {
    const brief = asked({ ...EXACT, weigh_step_g: undefined });
    expect(weighable(brief)).toEqual({ brief, notes: [] });
  });

  it('of a wish is widened around its middle, never below 0, and not where closeness is sought', () => {
    const target = { citrus: { aim: 3, within: 0 }, resin: { at_most: 0 } };
    const { brief, notes } = weighable(asked({}, target));
    expect(brief.target.citrus).toEqual({ at_least: 2.99, at_most: 3.01 });
    expect(brief.target.resin).toEqual({ at_most: 0 });
    expect(notes).toHaveLength(1);
    const closest = { ...asked({}, target), minimise: 'closest' } as const;
    expect(weighable(closest).brief).toBe(closest);
  });

  it('leaves a window alone that is wide enough', () => {
    const brief = asked({ ibu_at_least: 20, ibu_at_most: 20.1 });
    expect(weighable(brief).notes).toEqual([]);
  });
});
