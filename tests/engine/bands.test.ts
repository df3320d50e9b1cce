// The bands: each draw is the plain prediction of its world, one lot is one draw, and the bands cover
// truths drawn from the same priors by other means as often as they say.
import { describe, expect, it } from 'vitest';
import { AXES, COMPOUNDS, OIL_COMPOUNDS, ANALYTES, analyteOf } from '#shared/ids.ts';
import { DOUBTFUL_TOTALS } from '#shared/answer.ts';
import type { Addition, Schedule } from '#shared/schemas/brief.ts';
import { predict } from '#engine/answer.ts';
import { intensityOf } from '#engine/aroma.ts';
import { lotDrawsOf, quantileOf, sampleDesign, worldOfDraw } from '#engine/bands.ts';
import type { Lot } from '#engine/composition.ts';
import type { Design } from '#engine/design.ts';
import { centralValues, type LotValues } from '#engine/effect.ts';
import { correlationWithOil, figureValues } from '#engine/lot-sampling.ts';
import { model, type ParameterId, type ParameterValues, type Thresholds } from '#engine/model.ts';
import { lotsOf, predictPoint, type World } from '#engine/predict.ts';
import { parameterAt, randomFrom, scienceOf, type Random } from '#engine/sampling.ts';
import { scheduleOf, soundDesign, STAGES } from './examples.ts';

const HOPS = model.hops.filter((h) => h.missing.length === 0).map((h) => h.name);

/** Unlike designs: 1 to 6 hops over all stages and forms, both yeasts, now and then analysed. */
function designs(count: number, seed: number): Design[] {
  const random = randomFrom(seed);
  const pick = <T>(list: readonly T[]): T => list[Math.floor(random.uniform() * list.length)]!;
  return Array.from({ length: count }, () => {
    const additions: Addition[] = Array.from(
      { length: 1 + Math.floor(random.uniform() * 6) },
      () => ({
        hop: pick(HOPS),
        form: pick(['pellet_90', 'pellet_enriched', 'cone']),
        stage: pick(['mash', 'hot_steep', 'dry_hop', 'dry_hop']),
        grams: Math.ceil(random.uniform() * 150),
        ...(random.uniform() < 0.3
          ? { analysis: { total_oil_ml_per_100g: 1.5, alpha_pct: 9 } }
          : {}),
      }),
    );
    const batch: Schedule['batch'] = {
      beer_l: 20,
      yeast: pick(['standard', 'thiol_releasing']),
      malt_g_per_l: 200,
    };
    const dry_hop = { ...STAGES.dry_hop, live_yeast: random.uniform() < 0.5 };
    const hot_steep = { ...STAGES.hot_steep, closed: random.uniform() < 0.5 };
    return soundDesign(scheduleOf(additions, { batch, stages: { ...STAGES, hot_steep, dry_hop } }));
  });
}

describe('a sample', () => {
  it('is the plain prediction of each of its worlds, to the digit', () => {
    const sampling = { samples: 25, seed: 11 };
    for (const design of designs(12, 1)) {
      const sample = sampleDesign(model, design, sampling);
      const lots = lotDrawsOf(model, design, sampling);
      for (let k = 0; k < sampling.samples; k += 1) {
        const world = worldOfDraw(scienceOf(model, sampling), lots, k);
        const point = predictPoint(model, design, world);
        COMPOUNDS.forEach((_, i) => {
          expect(sample.compounds[i]![k]).toBe(point.compounds[i]);
          expect(sample.oavs[i]![k]).toBe(point.oavs[i]);
        });
        AXES.forEach((_, i) => {
          expect(sample.axes[i]![k]).toBe(intensityOf(point.signals[i]!, world.values));
        });
        for (const id of DOUBTFUL_TOTALS) expect(sample.totals[id][k]).toBe(point.totals[id]);
      }
    }
  });

  it('draws one lot once, at however many additions', () => {
    const addition = { hop: 'Cascade', form: 'pellet_90', stage: 'dry_hop' } as const;
    const whole = soundDesign(scheduleOf([{ ...addition, grams: 100 }]));
    const parts = soundDesign(
      scheduleOf([
        { ...addition, grams: 60 },
        { ...addition, grams: 40 },
      ]),
    );
    const { compounds, axes } = predict(model, parts);
    const asWhole = predict(model, whole);
    for (const c of COMPOUNDS) {
      expect(compounds[c].low).toBeCloseTo(asWhole.compounds[c].low, 9);
      expect(compounds[c].high).toBeCloseTo(asWhole.compounds[c].high, 9);
    }
    for (const a of AXES) expect(axes[a].high).toBeCloseTo(asWhole.axes[a].high, 9);
  });

  it('draws two lots of a variety apart, so that their sum is surer', () => {
    const addition = { hop: 'Cascade', form: 'pellet_90', stage: 'hot_steep' } as const;
    const one = soundDesign(scheduleOf([{ ...addition, grams: 100 }]));
    const two = soundDesign(
      scheduleOf([
        { ...addition, grams: 50 },
        { ...addition, grams: 50, price_per_kg: 20 },
      ]),
    );
    // Alpha alone moves: parameters are common to both and would hide it.
    const width = (design: Design) => {
      const lots = lotDrawsOf(model, design, { samples: 500, seed: 20 });
      const alpha = ANALYTES.indexOf('alpha_pct');
      const draws = Float64Array.from({ length: 500 }, (_, k) => {
        const at = (lot: Lot) => lots.get(lot)!.figures[k * ANALYTES.length + alpha]!;
        return design.additions.reduce((sum, a) => sum + at(a.lot) * a.grams, 0);
      }).sort();
      return quantileOf(draws, 0.9) - quantileOf(draws, 0.1);
    };
    expect(width(two) / width(one)).toBeCloseTo(Math.SQRT1_2, 1);
  });

  it('is repeatable to the digit, and 500 draws tell what 4000 tell', () => {
    const [design] = designs(1, 5);
    const few = predict(model, design!);
    expect(predict(model, design!)).toEqual(few);
    const many = predict(model, design!, { samples: 4000, seed: 77 });
    for (const axis of AXES) {
      const width = many.axes[axis].high - many.axes[axis].low;
      expect(Math.abs(few.axes[axis].low - many.axes[axis].low)).toBeLessThan(0.12 * width + 1e-9);
      expect(Math.abs(few.axes[axis].high - many.axes[axis].high)).toBeLessThan(
        0.12 * width + 1e-9,
      );
    }
  });
});

/** A world drawn from the priors figure by figure, by none of the code that draws the bands. */
function truth(lots: readonly Lot[], random: Random): World {
  const { parameters, compounds } = model;
  const parameter = (row: { low: number; central: number; high: number }) =>
    parameterAt(row, Math.max(random.uniform(), 1e-9));
  const values = Object.fromEntries(
    Object.entries(parameters).map(([id, row]) => [id, row.fixed ? row.central : parameter(row)]),
  ) as Record<ParameterId, number> as ParameterValues;
  const thresholds = Object.fromEntries(
    COMPOUNDS.map((c) => [c, compounds[c].threshold && parameter(compounds[c].threshold)]),
  ) as unknown as Thresholds;
  const valuesOf = (lot: Lot): LotValues => {
    const oil = random.normal();
    const drawn = centralValues(model, lot);
    ANALYTES.forEach((analyte, i) => {
      const figure = lot.figures[analyte];
      if (!figure) return;
      const r = figure.perProduct ? 0 : correlationWithOil(model, analyte);
      const score = r * oil + Math.sqrt(1 - r * r) * random.normal();
      [drawn.figures[i]] = figureValues(figure, Float64Array.of(score)) as unknown as [number];
    });
    const g = ANALYTES.indexOf('g_sh3_mg_per_kg');
    if (Number.isNaN(drawn.figures[g])) {
      drawn.figures[g] = parameter(parameters[`precursor.g_sh3.${lot.tendency}`]);
    }
    const parts = OIL_COMPOUNDS.map((c) => ANALYTES.indexOf(analyteOf(c)));
    const sum = parts.reduce((s, i) => s + (drawn.figures[i]! || 0), 0);
    if (sum > 100) for (const i of parts) drawn.figures[i]! *= 100 / sum;
    return drawn;
  };
  return { values, thresholds, lots: new Map(lots.map((lot) => [lot, valuesOf(lot)])) };
}

describe('bands', () => {
  it('cover 76 to 84 % of truths drawn from the priors: compounds, axes, IBU', () => {
    const random = randomFrom(0.37);
    const counts = { compounds: [0, 0], axes: [0, 0], ibu: [0, 0] };
    const count = (kind: keyof typeof counts, value: number, low: number, high: number) => {
      // What a blend does not bring at all is no figure in doubt.
      if (low === high) return;
      counts[kind][0]! += value >= low && value <= high ? 1 : 0;
      counts[kind][1]! += 1;
    };
    for (const design of designs(40, 2)) {
      const { compounds, axes, totals_band: totals } = predict(model, design);
      for (let t = 0; t < 60; t += 1) {
        const world = truth(lotsOf(design), random);
        const point = predictPoint(model, design, world);
        COMPOUNDS.forEach((c, i) =>
          count('compounds', point.compounds[i]!, compounds[c].low, compounds[c].high),
        );
        AXES.forEach((a, i) =>
          count('axes', intensityOf(point.signals[i]!, world.values), axes[a].low, axes[a].high),
        );
        count('ibu', point.totals.ibu, totals.ibu.low, totals.ibu.high);
      }
    }
    for (const [covered, of] of Object.values(counts)) {
      expect(of).toBeGreaterThan(2000);
      expect(covered! / of!).toBeGreaterThan(0.76);
      expect(covered! / of!).toBeLessThan(0.84);
    }
  });
});
