// The beer on the shelf against the published losses, and the laws of time and warmth.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { predict } from '#engine/answer/answer.ts';
import { model } from '#engine/tables/model.ts';
import { shelfIntensity, shelfOf } from '#engine/predict/shelf.ts';
import { FADED } from '#shared/answers/keeping-time.ts';
import { Beer } from '#engine/predict/beer.ts';
import { designOf } from '#engine/predict/design.ts';
import { learnedModel } from '#engine/doubt/learned.ts';
import { processOf } from '#engine/process/process.ts';
import type { Learned } from '#shared/schemas/learned.ts';
import { AXES, COMPOUNDS, type AxisId, type CompoundId } from '#shared/ids.ts';
import { scheduleOf, soundDesign } from '../support/examples.ts';
import { shelfRate as rate } from '../support/numbers.ts';

const leftAfter = (compound: CompoundId, tempC: number, months: number) =>
  Math.exp(-rate(compound, tempC) * months);
const DAYS_470 = 470 / 30.4;

describe('losses in packaged beer', () => {
  // Reglitz et al. 2018 (REGL18): after 3 months 59 % (filtered) and 67 % (not) left at 5 C, about a
  // third at 20 C; -ln of it over 3 gives 0.155 and 0.366 per month.
  it('4MSP falls by 0.155 per month at 5 C and 0.366 at 20 C', () => {
    expect(rate('msp4', 5)).toBeCloseTo(0.155, 3);
    expect(rate('msp4', 20)).toBeCloseTo(0.366, 3);
    expect(leftAfter('msp4', 5, 3)).toBeGreaterThan(0.59);
    expect(leftAfter('msp4', 5, 3)).toBeLessThan(0.67);
    expect(leftAfter('msp4', 20, 3)).toBeCloseTo(0.333, 2);
  });

  // Gahr et al. 2019 (GAHR19), 470 days: esters 90 % left at 0 C, 30-40 % at 20 C, under 30 % at 30 C;
  // monoterpenes 75 % at 20 C, 50 % at 30 C; linalool without clear loss at 20 C.
  it('esters, monoterpenes and linalool keep what 470 days left of them', () => {
    expect(leftAfter('branched_isobutyrates', 0, DAYS_470)).toBeCloseTo(0.9, 2);
    expect(leftAfter('branched_isobutyrates', 20, DAYS_470)).toBeGreaterThan(0.3);
    expect(leftAfter('branched_isobutyrates', 20, DAYS_470)).toBeLessThan(0.4);
    expect(leftAfter('branched_isobutyrates', 30, DAYS_470)).toBeLessThan(0.3);
    expect(leftAfter('limonene', 20, DAYS_470)).toBeCloseTo(0.75, 2);
    expect(leftAfter('limonene', 30, DAYS_470)).toBeCloseTo(0.5, 2);
    expect(leftAfter('linalool', 20, DAYS_470)).toBe(1);
  });
});

describe('the profile on the shelf', () => {
  const schedule = scheduleOf([
    { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 120 },
    { hop: 'Cascade', form: 'cone', stage: 'hot_steep', grams: 80 },
  ]);

  it('begins as the prediction and is kept at the temperature of the brief', () => {
    const { axes, compounds, shelf } = predict(model, soundDesign(schedule));
    expect(shelf.temp_c).toBe(20);
    expect(shelf.points.map((p) => p.months)).toEqual([0, 1, 3, 6]);
    for (const axis of AXES) {
      expect(shelf.points[0]!.axes[axis].intensity).toBeCloseTo(axes[axis].intensity, 9);
    }
    for (const c of COMPOUNDS) {
      expect(shelf.points[0]!.compounds[c]).toBe(compounds[c].ug_per_l);
      expect(shelf.points[2]!.compounds[c]).toBeCloseTo(
        compounds[c].ug_per_l * leftAfter(c, 20, 3),
        9,
      );
    }
    const cold = { ...schedule, batch: { ...schedule.batch, shelf_temp_c: 4 } };
    const cool = predict(model, soundDesign(cold)).shelf;
    expect(cool.temp_c).toBe(4);
    expect(cool.points[3]!.compounds.msp4).toBeGreaterThan(shelf.points[3]!.compounds.msp4);
  });

  it('is best before the first note has lost so much, by what was learned too', () => {
    const learned: Learned = {
      ...{ version: 1, made: '2026-01-01T00:00:00Z', from: ['a'], tasters: {} },
      parameters: {
        'parameter/shelf.rate.msp4': { factor: 1, sd_log: 0.05, score: -1 },
        'parameter/aroma.gain.tropical': { factor: 1, sd_log: 0.1, score: 1.5 },
      },
    };
    const found = [model, learnedModel(model, learned)].map((of) => {
      const made = designOf(of, schedule);
      if (!made.ok) throw new Error(JSON.stringify(made.problems));
      const { shelf, axes } = predict(of, made.value);
      const { months, low, high, axis } = shelf.best_before;
      const { batch, stages, additions } = made.value;
      const process = processOf(of, batch, stages);
      const beer = new Beer(process, additions);
      const lost = (a: AxisId, after: number) =>
        axes[a].intensity - shelfIntensity(process, beer, a, after, 20).value;
      expect(lost(axis!, months!)).toBeCloseTo(FADED, 2);
      expect(axis).not.toBe('onion_garlic');
      for (const a of AXES) {
        if (a !== 'onion_garlic') expect(lost(a, months! - 0.05)).toBeLessThan(FADED);
      }
      expect(low!).toBeLessThan(months!);
      expect(high ?? Infinity).toBeGreaterThan(months!);
      return months!;
    });
    expect(found[1]).not.toBeCloseTo(found[0]!, 1);
    // Kept cold it is best for longer; where there is nothing, nothing fades.
    const cold = { ...schedule, batch: { ...schedule.batch, shelf_temp_c: 4 } };
    const cool = predict(model, soundDesign(cold)).shelf.best_before.months;
    expect(cool ?? Infinity).toBeGreaterThan(found[0]!);
    const nothing = {
      compounds: COMPOUNDS.map(() => 0),
      reported: AXES.map(() => 0),
      leafGPerL: 0,
    };
    expect(shelfOf(model, nothing, 20).best_before).toEqual({
      months: null,
      low: null,
      high: null,
      axis: null,
    });
  });

  it('never gains with time, never gains with warmth, and lies in its band', () => {
    const amounts = fc.array(fc.double({ min: 0, max: 500, noNaN: true }), {
      minLength: COMPOUNDS.length,
      maxLength: COMPOUNDS.length,
    });
    const packaged = (compounds: number[]) => {
      return { compounds, reported: AXES.map(() => 5), leafGPerL: 3 };
    };
    const temp = fc.double({ min: 0, max: 25, noNaN: true });
    const step = fc.double({ min: 0, max: 10, noNaN: true });
    fc.assert(
      fc.property(amounts, temp, step, (ug, tempC, warmer) => {
        const shelf = shelfOf(model, packaged(ug), tempC);
        const warm = shelfOf(model, packaged(ug), tempC + warmer);
        shelf.points.forEach(({ axes, compounds }, k) => {
          const before = shelf.points[Math.max(0, k - 1)]!;
          for (const axis of AXES) {
            const { low, intensity, high } = axes[axis];
            expect(intensity).toBeLessThanOrEqual(before.axes[axis].intensity + 1e-12);
            expect(low).toBeLessThanOrEqual(intensity + 1e-12);
            expect(high).toBeGreaterThanOrEqual(intensity - 1e-12);
          }
          for (const c of COMPOUNDS) {
            expect(warm.points[k]!.compounds[c]).toBeLessThanOrEqual(compounds[c] + 1e-9);
          }
        });
      }),
      { numRuns: 50 },
    );
  });
});
