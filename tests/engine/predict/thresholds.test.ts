// The school of odour thresholds: one switch that moves every compound with a figure of that school,
// leaves the others at the middle and says which, and moves what the search seeks.
import { describe, expect, it } from 'vitest';
import { COMPOUNDS } from '#shared/ids.ts';
import { briefSchema } from '#shared/schemas/brief.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { predict } from '#engine/answer/answer.ts';
import { model, modelFor, withoutOwnThreshold } from '#engine/tables/model.ts';
import { design } from '#optimize/questions/design.ts';
import { problemOf } from '#optimize/problem/stating.ts';
import { scheduleOf, soundDesign } from '../support/examples.ts';

const japanese = modelFor(model, { thresholds: 'japanese' });
const us = modelFor(model, { thresholds: 'us' });
const blend = soundDesign(
  scheduleOf([{ hop: 'Cascade', form: 'pellet_90', stage: 'dry_hop', grams: 80 }]),
);

describe('a school of thresholds', () => {
  it('holds its published figures', () => {
    // Peltz and Shellhammer 2017, read: 83 and 141 ug/L in unhopped pale ale of 5 % alcohol.
    expect(us.compounds.linalool.threshold).toMatchObject({ central: 83, status: 'seen' });
    expect(us.compounds.geraniol.threshold).toMatchObject({ central: 141, status: 'seen' });
    // Kishimoto 2014, read: 55, 5.0 and 1.5 ng/L in a brewery laboratory.
    for (const [thiol, central] of [
      ['sh3', 0.055],
      ['sha3', 0.005],
      ['msp4', 0.0015],
    ] as const) {
      const { threshold } = japanese.compounds[thiol];
      expect(threshold).toMatchObject({ central, status: 'seen', sources: ['KISH14'] });
    }
    // Takoi and others 2010, recalled: 3 and 4 ug/L.
    expect(japanese.compounds.linalool.threshold).toMatchObject({ central: 3, status: 'memory' });
    expect(japanese.compounds.geraniol.threshold).toMatchObject({ central: 4, status: 'memory' });
  });

  it('keeps the middle where it has no figure, and says where', () => {
    for (const school of [japanese, us]) {
      const lacking = withoutOwnThreshold(school);
      expect(lacking).toContain('myrcene');
      for (const c of COMPOUNDS) {
        const own = model.compounds[c].schools[school.school as 'us'];
        const expected = own ?? model.compounds[c].threshold;
        expect(school.compounds[c].threshold).toEqual(expected);
        expect(lacking.includes(c)).toBe(expected !== null && own === undefined);
      }
    }
    expect(withoutOwnThreshold(model)).toEqual([]);
  });

  it('is the same model however often it is asked for, and can be left again', () => {
    expect(modelFor(model, {})).toBe(model);
    expect(modelFor(us, {})).toBe(us);
    expect(modelFor(us, { thresholds: 'us' })).toBe(us);
    expect(modelFor(us, { thresholds: 'japanese' })).toBe(japanese);
    expect(modelFor(us, { thresholds: 'middle' })).toBe(model);
  });

  it('moves odour activity and intensity, with their bands, and no concentration', () => {
    const of = (m: typeof model) => predict(m, blend);
    const middle = of(model);
    for (const [school, factor] of [
      [japanese, 20 / 3],
      [us, 20 / 83],
    ] as const) {
      const answer = of(school);
      expect(answer.compounds.linalool.ug_per_l).toBe(middle.compounds.linalool.ug_per_l);
      expect(answer.compounds.linalool.oav! / middle.compounds.linalool.oav!).toBeCloseTo(
        factor,
        10,
      );
      const { low, intensity, high } = answer.axes.floral;
      expect(low).toBeLessThan(intensity);
      expect(high).toBeGreaterThan(intensity);
    }
    expect(of(japanese).axes.floral.intensity).toBeGreaterThan(middle.axes.floral.intensity);
    expect(of(us).axes.floral.intensity).toBeLessThan(middle.axes.floral.intensity);
  });

  it('moves the rows of the search and its blend', () => {
    const brief = briefSchema.parse({
      ...SEED_BRIEFS[0]!.brief,
      target: { floral: { at_least: 2 } },
      limits: { hops_at_most: 3 },
    });
    const grams = (thresholds: 'middle' | 'japanese' | 'us') => {
      const outcome = design(model, { ...brief, thresholds }, { band: { samples: 20, seed: 1 } });
      if (!outcome.ok) throw new Error('no blend');
      const [best] = outcome.value.blends;
      expect(best!.axes.floral.intensity).toBeGreaterThan(2 - 1e-6);
      return best!.totals.hop_g;
    };
    expect(grams('japanese')).toBeLessThan(grams('middle'));
    expect(grams('us')).toBeGreaterThan(grams('middle'));
    const plain = problemOf(model, brief);
    const other = problemOf(us, brief);
    expect(other.ok && other.value.axes).not.toEqual(plain.ok && plain.value.axes);
  });
});
