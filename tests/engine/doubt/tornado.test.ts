// What moves a blend: bars as worked out by hand, shares of variance on outcomes known beforehand, and
// bands that shrink by what is learned and by nothing else.
import { describe, expect, it } from 'vitest';
import { AXES } from '#shared/ids.ts';
import { predict } from '#engine/answer/answer.ts';
import { model, modelFor } from '#engine/tables/model.ts';
import { THRESHOLDS } from '#engine/symbols/term.ts';
import type { World } from '#engine/symbols/world.ts';
import { normalScores, parameterAt } from '#engine/doubt/sampling.ts';
import { doubtOf, ownShare } from '#engine/doubt/tornado.ts';
import { scheduleOf, soundDesign } from '../support/examples.ts';
import { predictIn } from '../support/numbers.ts';

const blend = soundDesign(
  scheduleOf([
    { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 80 },
    { hop: 'Cascade', form: 'pellet_90', stage: 'mash', grams: 40 },
  ]),
);
const doubt = doubtOf(model, blend);
/** The same of compounds alone. */
const alone = doubtOf(modelFor(model, { compounds_only: true }), blend);
const width = (b: { low: number; high: number }) => b.high - b.low;

describe('what moves a blend', () => {
  it('is each unknown alone at its 10 and 90 % point', () => {
    const axis = AXES.indexOf('floral');
    const threshold = model.compounds.linalool.threshold!;
    const at = (share: number) => {
      const moved: World = {
        count: 1,
        valuesOf: ({ of, name }) =>
          of === THRESHOLDS && name === 'linalool' ? parameterAt(threshold, share) : undefined,
      };
      return predictIn(blend, moved).intensities[axis]!;
    };
    const bar = doubt.floral.swings.find((s) => s.kind === 'threshold' && s.id === 'linalool')!;
    expect(bar.at_low).toBe(at(0.1));
    expect(bar.at_high).toBe(at(0.9));
    expect(bar.at_low).toBeGreaterThan(bar.at_high);
    expect(bar.settled_by).toBe('science');
  });

  it('stands widest first, on both sides of the prediction, split into lab and science', () => {
    for (const axis of AXES) {
      const { swings, intensity } = doubt[axis];
      const widths = swings.map((s) => Math.abs(s.at_high - s.at_low));
      expect(widths).toEqual([...widths].sort((a, b) => b - a));
      for (const s of swings) {
        expect(Math.min(s.at_low, s.at_high)).toBeLessThanOrEqual(intensity + 1e-9);
        expect(Math.max(s.at_low, s.at_high)).toBeGreaterThanOrEqual(intensity - 1e-9);
        expect(s.settled_by).toBe(s.kind === 'lot' ? 'lab' : 'science');
        expect(s.hop === null).toBe(s.kind !== 'lot' && s.kind !== 'reported');
      }
    }
    const ids = new Set(AXES.flatMap((a) => doubt[a].swings.map((s) => s.id)));
    expect(ids).toContain('msp4_ug_per_kg');
    expect(ids).toContain('dry_hop.yield.thiol');
    // Nothing goes into a hot steep, so its yields move nothing.
    expect([...ids].filter((id) => id.startsWith('hot_steep.'))).toEqual([]);
  });

  it('agrees with the bands, and shares hold no more than the whole', () => {
    const { axes } = predict(model, blend);
    for (const axis of AXES) {
      const { low, high, intensity, swings } = doubt[axis];
      expect([low, intensity, high]).toEqual([
        axes[axis].low,
        axes[axis].intensity,
        axes[axis].high,
      ]);
      const shares = swings.reduce((sum, s) => sum + s.share, 0);
      expect(shares).toBeLessThan(1.25);
      if (swings.length > 0) expect(shares).toBeGreaterThan(0.5);
    }
  });

  it('says what an analysis is worth: all of a doubt of lots, nothing of a known lot', () => {
    // Of compounds alone, stone fruit comes from one figure of the lot, whose spread is wide.
    const {
      if_analysed: lots,
      if_all_analysed: all,
      if_science_settled: settled,
    } = alone.stone_fruit;
    expect(lots[0]!.hop).toBe('Citra');
    expect(lots[0]!.narrower).toBeGreaterThan(0.15);
    expect(width(all)).toBeLessThan(0.85 * width(alone.stone_fruit));
    expect(width(settled)).toBeLessThan(width(alone.stone_fruit));
    expect(lots.find((l) => l.hop === 'Cascade')!.narrower).toBeCloseTo(0, 1);
    // Resin comes from myrcene, whose threshold nobody knows: no analysis helps.
    expect(width(alone.resin.if_all_analysed)).toBeGreaterThan(0.9 * width(alone.resin));
    expect(width(alone.resin.if_science_settled)).toBeLessThan(0.5 * width(alone.resin));
  });

  it('leaves to science what tasters report: the same for every lot, and no lab tells it', () => {
    const said = doubt.tropical.swings.find((s) => s.kind === 'reported')!;
    expect(said).toMatchObject({ id: 'tropical', hop: 'Citra', form: null, settled_by: 'science' });
    expect(said.at_high).toBeGreaterThan(said.at_low);
    expect(alone.tropical.swings.filter((s) => s.kind === 'reported')).toEqual([]);
    const { if_all_analysed: all, if_science_settled: settled } = doubt.tropical;
    expect(width(settled)).toBeLessThan(width(all));
  });

  it('is nothing where there is no aroma', () => {
    const none = doubtOf(model, soundDesign(scheduleOf([])), { samples: 50, seed: 1 });
    expect(none.resin).toMatchObject({
      intensity: 0,
      low: 0,
      high: 0,
      swings: [],
      if_analysed: [],
    });
  });
});

describe('the share of the variance of one unknown', () => {
  const sampling = { samples: 2000, seed: 4 };
  const a = normalScores('a', sampling);
  const b = normalScores('b', sampling);

  it('is all of it, none of it, or as the weights say', () => {
    expect(ownShare(a, a)).toBeGreaterThan(0.93);
    expect(ownShare(a, b)).toBeLessThan(0.01);
    const sum = a.map((x, k) => x + 2 * b[k]!);
    // Var(a) = 1, Var(2b) = 4: a fifth and four fifths, less what lies within ten groups of rank.
    expect(ownShare(a, sum)).toBeCloseTo(0.2, 1);
    expect(ownShare(b, sum)).toBeCloseTo(0.78, 1);
    expect(ownShare(a, new Float64Array(2000).fill(3))).toBe(0);
  });
});
