// The share of draws in which a blend meets its wishes: by every wish and the bitterness window, told
// apart by what is drawn, and the same as counting the draws one by one.
import { describe, expect, it } from 'vitest';
import { AXES } from '#shared/ids.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { lotDrawsOf, drawnWorld, sampleIn } from '#engine/doubt/bands.ts';
import { atOnce } from '#engine/doubt/parts.ts';
import { designOf } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { predict } from '#engine/answer/answer.ts';
import { chancing, LOT_SAMPLING } from '#optimize/problem/chance.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';

const { brief } = SEED_BRIEFS[0]!;
const made = designOf(model, {
  ...brief,
  additions: [{ hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 100 }],
});
if (!made.ok) throw new Error('the design cannot be read');
const design = made.value;
const middle = predict(model, design);
const asking = (target: Brief['target'], limits = {}) =>
  atOnce(chancing(model, { target, limits: { ban: [], require: [], ...limits } }, design));

describe('the chance of a blend', () => {
  it('is one where nothing is asked, none where a wish is out of reach', () => {
    expect(asking({})).toEqual({ holds_in_lots: 1, holds_in_all: 1 });
    expect(asking({ citrus: { at_least: 7 } }).holds_in_lots).toBe(0);
    expect(asking({}, { ibu_at_least: 900 })).toEqual({ holds_in_lots: 0, holds_in_all: 0 });
  });

  it('is about a half at the middle of a note, and less sure with all doubt counted', () => {
    const { intensity } = middle.axes.citrus;
    const at = asking({ citrus: { at_least: intensity } });
    expect(at.holds_in_lots).toBeGreaterThan(0.25);
    expect(at.holds_in_lots).toBeLessThan(0.75);
    // A wish well below the middle: lots alone rarely miss it, lots and science together more often.
    const easy = asking({ citrus: { at_least: intensity * 0.9 } });
    expect(easy.holds_in_lots).toBeGreaterThan(at.holds_in_lots);
    expect(easy.holds_in_all).toBeLessThan(easy.holds_in_lots);
  });

  it('falls as wishes are added, and is a count of draws', () => {
    const [citrus, tropical] = [middle.axes.citrus, middle.axes.tropical].map((a) => a.intensity);
    const one = { citrus: { at_least: citrus! * 0.95 } };
    const two = { ...one, tropical: { at_least: tropical! * 0.95 } };
    expect(asking(two).holds_in_lots).toBeLessThanOrEqual(asking(one).holds_in_lots);
    const lots = lotDrawsOf(model, design, LOT_SAMPLING);
    const sample = sampleIn(model, design, drawnWorld(LOT_SAMPLING.samples, null, lots));
    const [c, t] = (['citrus', 'tropical'] as const).map(
      (axis) => sample.intensities[AXES.indexOf(axis)]!,
    );
    const both = [...c!].filter(
      (value, k) => value >= citrus! * 0.95 && t![k]! >= tropical! * 0.95,
    );
    expect(asking(two).holds_in_lots).toBe(both.length / LOT_SAMPLING.samples);
  });
});
