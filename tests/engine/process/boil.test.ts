// Hops in the boil: the bitterness of a worked example and of an integration of its own, aroma in the
// order every brewer knows, bound thiols that a longer boil lowers, and the search with a boil in it.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { AXES, COMPOUNDS } from '#shared/ids.ts';
import { briefSchema } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { type Stages } from '#shared/stages/stages.ts';
import { model } from '#engine/tables/model.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { design } from '#optimize/questions/design.ts';
import { scheduleOf, soundDesign } from '../support/examples.ts';
import { isoLossRate, isomerizationRate, values } from '../support/numbers.ts';

function brewed(stages: Stages, additions: readonly Addition[]) {
  const batch = { beer_l: 20, yeast: 'thiol_releasing', malt_g_per_l: 0 } as const;
  return predictPoint(model, soundDesign(scheduleOf(additions, { batch, stages })));
}
const bittering = (stage: Addition['stage'], grams: number): Addition => ({
  hop: 'Trial',
  form: 'pellet_90',
  stage,
  grams,
  analysis: { alpha_pct: 10 },
});

describe('bitterness of the boil', () => {
  // Malowicki and Shellhammer 2005 (MAL05): at 100 C 60 min isomerize 0.476 of the alpha acids. 1 g/L
  // of 10 % brings 100 mg/L, and 0.55 of the iso-alpha acids reach the beer: 26.2 IBU.
  it('of 1 g/L at 10 % for 60 minutes is 26.2 IBU', () => {
    const { totals } = brewed({ boil: { minutes: 60 } }, [bittering('boil', 20)]);
    expect(totals.ibu).toBeCloseTo(26.2, 1);
  });

  it('agrees with both reactions integrated step by step over boil and stand', () => {
    const minutes = fc.integer({ min: 0, max: 120 });
    const temp = fc.integer({ min: 70, max: 98 });
    fc.assert(
      fc.property(minutes, temp, fc.integer({ min: 0, max: 60 }), (boiled, temp_c, stood) => {
        const stages = {
          boil: { minutes: boiled },
          hot_steep: { temp_c, minutes: stood, closed: false },
        };
        const { totals } = brewed(stages, [bittering('boil', 20)]);
        let [alpha, iso] = [1, 0];
        for (const [tempC, length] of [
          [100, boiled],
          [temp_c, stood],
        ] as const) {
          const [k1, k2] = [isomerizationRate(tempC), isoLossRate(tempC)];
          const steps = 4000;
          const h = length / steps;
          for (let n = 0; n < steps; n += 1) {
            const half = alpha * (1 - (h / 2) * k1);
            const middle = iso + (h / 2) * (k1 * alpha - k2 * iso);
            iso += h * (k1 * half - k2 * middle);
            alpha -= h * k1 * half;
          }
        }
        expect(totals.ibu).toBeCloseTo(100 * iso * values['iso.to_beer'], 5);
      }),
      { numRuns: 25 },
    );
  });
});

describe('aroma of the boil', () => {
  const given: Omit<Addition, 'stage'> = { hop: 'Citra', form: 'pellet_90', grams: 40 };
  const linalool = (stages: Stages, stage: Addition['stage']) =>
    brewed(stages, [{ ...given, stage }]).compounds[COMPOUNDS.indexOf('linalool')]!;

  // Common practice, no source: the later a hop goes in, the more of its aroma is left.
  it('is less than of a steep, and the less the longer it boils', () => {
    const hot_steep = { temp_c: 80, minutes: 20, closed: false };
    const dry_hop = { temp_c: 16, hours: 96, mixed: false, live_yeast: false };
    const boil = (minutes: number) => linalool({ boil: { minutes }, hot_steep }, 'boil');
    const steep = linalool({ hot_steep }, 'hot_steep');
    const dry = linalool({ dry_hop }, 'dry_hop');
    expect(boil(60)).toBeGreaterThan(0);
    expect(boil(60)).toBeLessThan(boil(10) / 5);
    expect(boil(10)).toBeLessThan(steep);
    expect(steep).toBeLessThan(dry);
  });

  it('keeps what yeast frees of bound thiols, a little less the longer it boils', () => {
    const sh3 = (minutes: number) =>
      brewed({ boil: { minutes } }, [{ ...given, hop: 'Cascade', stage: 'boil' }]).compounds[
        COMPOUNDS.indexOf('sh3')
      ]!;
    expect(sh3(60)).toBeGreaterThan(0);
    expect(sh3(60)).toBeLessThan(sh3(0));
  });
});

it('is a place the search may choose: bitterness from the boil, aroma from the dry hop', () => {
  const brief = briefSchema.parse({
    batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 200 },
    stages: {
      boil: { minutes: 60 },
      dry_hop: { temp_c: 16, hours: 96, mixed: false, live_yeast: false },
    },
    target: { citrus: { at_least: 2 } },
    limits: { ibu_at_least: 25, ibu_at_most: 35, hops_at_most: 3, weigh_step_g: 1 },
    candidates: 'table',
  });
  const answer = design(model, brief, { band: { samples: 20, seed: 1 } });
  if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
  const [blend] = answer.value.blends;
  expect(answer.value.status).toBe('optimal');
  expect(blend!.totals.ibu).toBeGreaterThanOrEqual(25 - 1e-6);
  expect(blend!.axes.citrus.intensity).toBeGreaterThanOrEqual(2 - 1e-6);
  expect(new Set(blend!.additions.map((a) => a.stage))).toEqual(new Set(['boil', 'dry_hop']));
  expect(AXES.every((axis) => blend!.axes[axis].intensity >= 0)).toBe(true);
});
