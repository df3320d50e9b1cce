// Several stages of a kind: steeps in the kettle one after the other, a steep in liquor of its own, dry
// hops that share one load; and the search with them, its answer as the engine predicts it.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { COMPOUNDS } from '#shared/ids.ts';
import { briefSchema } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { stagesSchema } from '#shared/stages/stages.ts';
import { model } from '#engine/tables/model.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { design } from '#optimize/questions/design.ts';
import { scheduleOf, soundDesign } from '../support/examples.ts';
import { values } from '../support/numbers.ts';

const BEER_L = 20;
const hop = (stage: string, grams: number): Addition => ({
  hop: 'Citra',
  form: 'pellet_90',
  stage,
  grams,
});
function brewed(stages: object, additions: readonly Addition[]) {
  const batch = { beer_l: BEER_L, yeast: 'standard', malt_g_per_l: 0 } as const;
  const given = { batch, stages: stagesSchema.parse(stages) };
  return predictPoint(model, soundDesign(scheduleOf(additions, given)));
}
const linalool = COMPOUNDS.indexOf('linalool');

describe('steeps in the kettle', () => {
  it('one after the other do what one as long does to hops that go through both', () => {
    const minutes = fc.integer({ min: 1, max: 40 });
    fc.assert(
      fc.property(fc.integer({ min: 60, max: 99 }), minutes, minutes, (temp_c, one, two) => {
        const first = { kind: 'hot_steep', temp_c, minutes: one };
        const second = { kind: 'hot_steep', temp_c, minutes: two };
        const boil = { minutes: 20 };
        const whole = { ...first, minutes: one + two };
        for (const stage of ['boil', 'first']) {
          const parted = brewed({ boil, first, second }, [hop(stage, 40)]);
          const joined = brewed({ boil, first: whole }, [hop(stage, 40)]);
          expect(parted.totals.ibu).toBeCloseTo(joined.totals.ibu, 9);
          parted.compounds.forEach((ug, i) => expect(ug).toBeCloseTo(joined.compounds[i]!, 9));
        }
        const late = brewed({ boil, first, second }, [hop('second', 40)]);
        const alone = brewed({ second }, [hop('second', 40)]);
        expect(late.totals.ibu).toBeCloseTo(alone.totals.ibu, 9);
      }),
      { numRuns: 20 },
    );
  });

  it('open after a closed one lets go of what the lid has kept', () => {
    const shut = { kind: 'hot_steep', temp_c: 80, minutes: 20, closed: true };
    const open = { kind: 'hot_steep', temp_c: 80, minutes: 20 };
    const myrcene = (stages: object) =>
      brewed(stages, [hop('shut', 40)]).compounds[COMPOUNDS.indexOf('myrcene')]!;
    expect(myrcene({ shut, open })).toBeLessThan(myrcene({ shut }));
  });
});

describe('a steep in liquor of its own', () => {
  const tea = (liquor_l?: number) => ({
    tea: { kind: 'hot_steep', temp_c: 80, minutes: 30, ...(liquor_l && { liquor_l }) },
  });

  it('holds as much alpha acid per litre as wort, diluted into the batch', () => {
    const cap = values['iso.hot_alpha_cap'];
    const heavy = [hop('tea', 2000)];
    const kettle = brewed(tea(), heavy).isoAlpha.get('tea')!;
    expect(brewed(tea(5), heavy).isoAlpha.get('tea')! / kettle).toBeCloseTo(5 / BEER_L, 9);
    expect(kettle).toBeLessThanOrEqual(cap);
    // Below the ceiling the liquor makes no difference: what is drawn out is drawn out.
    const light = [hop('tea', 4)];
    expect(brewed(tea(5), light).totals.ibu).toBeCloseTo(brewed(tea(), light).totals.ibu, 9);
    expect(brewed(tea(5), light).compounds).toEqual(brewed(tea(), light).compounds);
  });

  it('takes no hops of the boil', () => {
    const boil = { minutes: 60 };
    const without = brewed({ boil }, [hop('boil', 20)]);
    const beside = brewed({ boil, ...tea(5) }, [hop('boil', 20)]);
    expect(beside.totals.ibu).toBe(without.totals.ibu);
    const stand = brewed({ boil, ...tea() }, [hop('boil', 20)]);
    expect(stand.totals.ibu).not.toBe(without.totals.ibu);
  });
});

describe('two dry hops', () => {
  const warm = { kind: 'dry_hop', temp_c: 18, hours: 48, live_yeast: true, day: 2 };
  const cold = { kind: 'dry_hop', temp_c: 3, hours: 30, day: 9 };

  it('each draws out by its own conditions, and all share one load', () => {
    const one = brewed({ warm, cold }, [hop('warm', 80)]).compounds[linalool]!;
    const other = brewed({ warm, cold }, [hop('cold', 80)]).compounds[linalool]!;
    expect(one).not.toBeCloseTo(other, 3);
    const both = brewed({ warm, cold }, [hop('warm', 80), hop('cold', 80)]).compounds[linalool]!;
    // 1/(1 + L/h): the load of both against that of one.
    const half = values['dry_hop.half_load.oxygenate'];
    const share = (1 + 80 / BEER_L / half) / (1 + 160 / BEER_L / half);
    expect(both).toBeCloseTo((one + other) * share, 9);
  });

  it('are searched for as the engine predicts them, limits by their names', () => {
    const brief = briefSchema.parse({
      batch: { beer_l: BEER_L, yeast: 'standard', malt_g_per_l: 200 },
      stages: { late: { kind: 'boil', minutes: 10 }, cold, warm },
      target: { citrus: { at_least: 2.5 }, tropical: { at_least: 1.5 } },
      limits: {
        hops_at_most: 3,
        weigh_step_g: 1,
        ibu_at_least: 10,
        stage_at_most_g_per_l: { warm: 1.5, cold: 2 },
      },
      keep: [hop('warm', 20)],
      candidates: ['Citra', 'Mosaic', 'Cascade'].map((name) => ({ hop: name, form: 'pellet_90' })),
    });
    const found = design(model, brief, { band: { samples: 10, seed: 1 } });
    if (!found.ok) throw new Error(JSON.stringify(found.problems));
    const { status, blends } = found.value;
    expect(status).toBe('optimal');
    const { additions, totals, misses } = blends[0]!;
    expect(misses).toEqual([]);
    const order = additions.map((a) => ['late', 'cold', 'warm'].indexOf(a.stage));
    expect(order).toEqual(order.toSorted((a, b) => a - b));
    const at = (stage: string) =>
      additions.reduce((sum, a) => sum + (a.stage === stage ? a.grams : 0), 0) / BEER_L;
    expect(at('warm')).toBeLessThanOrEqual(1.5 + 1e-9);
    expect(at('cold')).toBeLessThanOrEqual(2 + 1e-9);
    expect(at('late')).toBeGreaterThan(0);
    const again = brewed(brief.stages, additions);
    // The malt of the brief brings no bitterness.
    expect(again.totals.ibu).toBeCloseTo(totals.ibu, 9);
  });
});
