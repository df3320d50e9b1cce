// The bands: each draw is the plain prediction of its world, one lot is one draw, and the bands cover
// truths drawn from the same priors by other means as often as they say.
import { describe, expect, it } from 'vitest';
import { AXES, COMPOUNDS, ANALYTES } from '#shared/ids.ts';
import { DOUBTFUL_TOTALS } from '#shared/answers/prediction.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { predict } from '#engine/answer/answer.ts';
import { drawnWorld, lotDrawsOf, quantilesOf, sampleDesign } from '#engine/doubt/bands.ts';
import type { Lot } from '#engine/lot/composition.ts';
import type { Design } from '#engine/predict/design.ts';
import { CYS_SHARE, reportedName, SH3_BY_CLASS } from '#engine/lot/figures.ts';
import { weightRange } from '#engine/symbols/rows.ts';
import { PARAMETERS, THRESHOLDS, WEIGHTS } from '#engine/symbols/term.ts';
import { at, type World } from '#engine/symbols/world.ts';
import { correlationWithOil, figureValues } from '#engine/doubt/lot-sampling.ts';
import { model } from '#engine/tables/model.ts';
import { lotsOf } from '#engine/predict/predict.ts';
import { parameterAt, randomFrom, scienceOf, type Random } from '#engine/doubt/sampling.ts';
import { scheduleOf, soundDesign, STAGES } from '../support/examples.ts';
import { predictIn } from '../support/numbers.ts';

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
      const all = drawnWorld(sampling.samples, scienceOf(model, sampling), lots);
      for (let k = 0; k < sampling.samples; k += 1) {
        const world: World = {
          count: 1,
          valuesOf: (input, central) => at(all.valuesOf(input, central) ?? central, k),
        };
        const point = predictIn(design, world);
        COMPOUNDS.forEach((_, i) => {
          expect(sample.compounds[i]![k]).toBe(point.compounds[i]);
          expect(sample.oavs[i]?.[k] ?? null).toBe(point.oavs[i]);
        });
        AXES.forEach((_, i) => expect(sample.intensities[i]![k]).toBe(point.intensities[i]));
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
      const draws = Float64Array.from({ length: 500 }, (_, k) => {
        const alpha = (lot: Lot) => lots.get(lot)!.get('alpha_pct')![k]!;
        return design.additions.reduce((sum, a) => sum + alpha(a.lot) * a.grams, 0);
      });
      const [low, high] = quantilesOf(draws, [0.1, 0.9]);
      return high! - low!;
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
  const owners = new Map<object, Map<string, number>>();
  const entries = Object.entries(parameters);
  owners.set(
    PARAMETERS,
    new Map(
      entries.map(([id, row]) => {
        // Lifts a sum of middle figures; in a drawn world there are none.
        if (id.startsWith('aroma.middle.')) return [id, 1];
        return [id, row.fixed ? row.central : parameter(row)];
      }),
    ),
  );
  owners.set(
    WEIGHTS,
    new Map(model.weights.map((w) => [`${w.axis} ${w.driver}`, parameter(weightRange(w))])),
  );
  const reported = new Map<string, number>();
  const smelled = COMPOUNDS.flatMap((c) => {
    const { threshold } = compounds[c];
    return threshold ? [[c, parameter(threshold)] as const] : [];
  });
  owners.set(THRESHOLDS, new Map(smelled));
  for (const lot of lots) {
    const oil = random.normal();
    const drawn = new Map<string, number>();
    for (const analyte of ANALYTES) {
      const figure = lot.figures[analyte];
      if (!figure) continue;
      const r = figure.perProduct ? 0 : correlationWithOil(model, analyte);
      const score = r * oil + Math.sqrt(1 - r * r) * random.normal();
      drawn.set(analyte, figureValues(figure, Float64Array.of(score))[0]!);
    }
    drawn.set(SH3_BY_CLASS, parameter(parameters[`precursor.g_sh3.${lot.tendency}`]));
    drawn.set(CYS_SHARE, parameter(parameters['precursor.cys_share']));
    for (const axis of AXES) {
      const range = lot.reported[axis];
      if (!range) continue;
      const of = `${lot.hop} ${axis}`;
      reported.set(of, reported.get(of) ?? parameter(range));
      drawn.set(reportedName(axis), reported.get(of)!);
    }
    owners.set(lot, drawn);
  }
  return { count: 1, valuesOf: ({ of, name }) => owners.get(of)?.get(name) };
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
        const point = predictIn(design, world);
        COMPOUNDS.forEach((c, i) =>
          count('compounds', point.compounds[i]!, compounds[c].low, compounds[c].high),
        );
        AXES.forEach((a, i) => count('axes', point.intensities[i]!, axes[a].low, axes[a].high));
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
