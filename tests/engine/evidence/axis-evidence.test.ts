// What each axis rests on: shares that add up, the weakest link deciding, and firmer ground once a lot
// is analysed.
import { describe, expect, it } from 'vitest';
import { ANALYTES, AXES, STATUSES } from '#shared/ids.ts';
import type { Analysis } from '#shared/schemas/lot.ts';
import { lotOf } from '#engine/lot/composition.ts';
import { model as whole, modelFor, type Model } from '#engine/tables/model.ts';
import { axisEvidence } from '#engine/evidence/axis-evidence.ts';
import { scheduleOf, soundDesign } from '../support/examples.ts';

/** What compounds rest on: what tasters report has a test of its own. */
const model = modelFor(whole, { compounds_only: true });
const addition = { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 80 } as const;
const plain = soundDesign(scheduleOf([addition]));
const lot = lotOf(model, addition);
if (!lot.ok) throw new Error('no lot');
const { figures } = lot.value;
const analysis = Object.fromEntries(
  ANALYTES.flatMap((a) => (figures[a] ? [[a, figures[a].central]] : [])),
) as Analysis;
const analysed = soundDesign(scheduleOf([{ ...addition, analysis }]));

/** The model with one parameter known for certain. */
function firm(id: 'dry_hop.yield.geraniol' | 'dry_hop.yield.thiol'): Model {
  const row = model.parameters[id];
  const sure = { ...row, low: row.central, high: row.central };
  return { ...model, parameters: { ...model.parameters, [id]: sure } };
}

describe('what a prediction rests on', () => {
  it('adds up to the whole on every axis there is', () => {
    const resting = axisEvidence(model, plain);
    for (const axis of AXES) {
      const of = resting[axis];
      if (!of) continue;
      expect(STATUSES.reduce((sum, s) => sum + of[s], 0)).toBeCloseTo(1, 12);
      for (const s of STATUSES) expect(of[s]).toBeGreaterThanOrEqual(0);
    }
  });

  it('is as weak as its weakest link: figure, total oil, threshold or process figure', () => {
    const resting = axisEvidence(model, plain);
    // Stone fruit is branched isobutyrates alone: threshold from memory, figure no better.
    const weak = resting.stone_fruit!.memory + resting.stone_fruit!.estimated;
    expect(weak).toBeCloseTo(1, 12);
    // Grassy is leaf, whose threshold is an assumption, and a trace of other compounds.
    expect(resting.grassy!.estimated).toBeGreaterThan(0.99);
    // With a lot of one's own the threshold is the weakest link left.
    const own = axisEvidence(model, analysed);
    expect(own.stone_fruit!.memory).toBeCloseTo(1, 12);
    expect(own.floral!.derived).toBeGreaterThan(resting.floral!.derived);
    // What is left of estimates there is the yield of geraniol, an assumption of 0.35 to 1.3.
    expect(own.floral!.estimated).toBeGreaterThan(0.1);
    expect(axisEvidence(firm('dry_hop.yield.geraniol'), analysed).floral!.estimated).toBeLessThan(
      0.05,
    );
  });

  it('counts a process figure only where its doubt would be noticed', () => {
    // The yield of thiols in a dry hop is an assumption from 0.3 to 1: all fruit rests on it.
    expect(axisEvidence(model, analysed).tropical!.estimated).toBeGreaterThan(0.9);
    const settled = axisEvidence(firm('dry_hop.yield.thiol'), analysed);
    expect(settled.tropical!.estimated).toBeLessThan(0.1);
  });

  it('tells what tasters report as such, where they name the note', () => {
    const { tropical, resin } = axisEvidence(whole, analysed);
    expect(tropical!.reported + tropical!.estimated).toBeGreaterThan(0.8);
    expect(resin!.reported).toBe(0);
  });

  it('counts what yeast frees from the malt, and nothing where nothing is', () => {
    const beer = soundDesign(scheduleOf([]));
    const resting = axisEvidence(model, beer);
    expect(resting.tropical).toMatchObject({ memory: 1 });
    expect(resting.resin).toBeNull();
  });
});
