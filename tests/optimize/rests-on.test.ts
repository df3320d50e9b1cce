// What each axis rests on: shares that add up, the weakest link deciding, and firmer ground once a lot
// is analysed.
import { describe, expect, it } from 'vitest';
import { ANALYTES, AXES, STATUSES } from '#shared/ids.ts';
import type { Analysis } from '#shared/schemas/brief.ts';
import { lotOf } from '#engine/composition.ts';
import { model } from '#engine/model.ts';
import { restsOn } from '#optimize/rests-on.ts';
import { scheduleOf, soundDesign } from '../engine/examples.ts';

const addition = { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 80 } as const;
const plain = soundDesign(scheduleOf([addition]));
const lot = lotOf(model, addition);
if (!lot.ok) throw new Error('no lot');
const { figures } = lot.value;
const analysis = Object.fromEntries(
  ANALYTES.flatMap((a) => (figures[a] ? [[a, figures[a].central]] : [])),
) as Analysis;
const analysed = soundDesign(scheduleOf([{ ...addition, analysis }]));

describe('what a prediction rests on', () => {
  it('adds up to the whole on every axis there is', () => {
    const resting = restsOn(model, plain);
    for (const axis of AXES) {
      const of = resting[axis];
      if (!of) continue;
      expect(STATUSES.reduce((sum, s) => sum + of[s], 0)).toBeCloseTo(1, 12);
      for (const s of STATUSES) expect(of[s]).toBeGreaterThanOrEqual(0);
    }
  });

  it('is as weak as its weakest link: figure, total oil or threshold', () => {
    const resting = restsOn(model, plain);
    // Stone fruit is branched isobutyrates alone: threshold from memory, figure no better.
    const weak = resting.stone_fruit!.memory + resting.stone_fruit!.estimated;
    expect(weak).toBeCloseTo(1, 12);
    // Grassy is leaf, whose threshold is derived, and a trace of other compounds.
    expect(resting.grassy!.derived).toBeGreaterThan(0.99);
    // With a lot of one's own the threshold is the weakest link left.
    const own = restsOn(model, analysed);
    expect(own.stone_fruit!.memory).toBeCloseTo(1, 12);
    expect(own.floral!.derived).toBeGreaterThan(resting.floral!.derived);
    expect(own.floral!.estimated).toBe(0);
  });

  it('counts what yeast frees from the malt, and nothing where nothing is', () => {
    const beer = soundDesign(scheduleOf([]));
    const resting = restsOn(model, beer);
    expect(resting.tropical).toMatchObject({ memory: 1 });
    expect(resting.resin).toBeNull();
  });
});
