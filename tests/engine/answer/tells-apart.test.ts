// Whether the model tells hops apart as brewers do: against the words of tasters, and against usual
// practice. What has no source says so.
import { describe, expect, it } from 'vitest';
import { AXES, type AxisId, type FormId, type YeastId } from '#shared/ids.ts';
import { lotOf } from '#engine/lot/composition.ts';
import { aloneInDryHop } from '#engine/answer/alone.ts';
import { quantilesOf, sampleDesign } from '#engine/doubt/bands.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { predictPoint, type Point } from '#engine/predict/predict.ts';
import { intensityOf } from '#engine/predict/smell.ts';
import { defaultValues, model, type Model } from '#engine/tables/model.ts';
import { symmetricEigen } from '../support/eigen.ts';
import type { StageKind } from '#shared/stages/kinds.ts';
import type { Stages } from '#shared/stages/stages.ts';
import { AT_8, HOPS, dryHopped, standings, tasterAgreement } from '../../published/tasters.ts';

const { batch: TABLE_BATCH, stages: TABLE_STAGES } = aloneInDryHop('');

type Addition = readonly [hop: string, stage: StageKind, grams: number, form?: FormId];

function beer(
  of: Model,
  additions: readonly Addition[],
  { stages = TABLE_STAGES as Stages, yeast = 'standard' as YeastId } = {},
): Point {
  return predictPoint(of, {
    name: '',
    batch: { ...TABLE_BATCH, yeast },
    stages,
    additions: additions.map(([hop, stage, grams, form = 'pellet_90']) => {
      const lot = lotOf(of, { hop, form });
      if (!lot.ok) throw new Error(hop);
      return { lot: lot.value, stage, grams };
    }),
  });
}
const axisOf = (point: Point, axis: AxisId) => point.intensities[AXES.indexOf(axis)]!;

describe('against the words of tasters', () => {
  const found = tasterAgreement();

  it('a named note stands above an unnamed one, each source left out in turn', () => {
    expect(found.sourcesLeftOut.pairs).toBeGreaterThan(300);
    expect(found.sourcesLeftOut.share).toBeGreaterThanOrEqual(0.85);
    expect(found.sourcesLeftOutRead.share).toBeGreaterThanOrEqual(0.72);
  });

  it('of words it has not seen too, which nothing but compounds may have to explain', () => {
    expect(found.hidden.share).toBeGreaterThanOrEqual(0.7);
    expect(found.memoryLeftOut.share).toBeGreaterThan(0.55);
  });

  it('nine times in ten where it has learned from all, and by compounds alone six in ten', () => {
    expect(found.all.share).toBeGreaterThanOrEqual(0.9);
    expect(found.compoundsAlone.share).toBeGreaterThanOrEqual(0.6);
  });
});

describe('the axes', () => {
  const figures = AT_8.map((p) => p.intensities);

  it('none leads in more than 35 % of hops', () => {
    for (const [a, axis] of AXES.entries()) {
      const led = figures.filter((row) => Math.max(...row) === row[a]).length;
      expect(led / HOPS.length, axis).toBeLessThanOrEqual(0.35);
    }
  });

  it('no two rank the hops alike, and seven directions carry no more than 95 %', () => {
    const columns = AXES.map((_, a) => standings(figures).map((row) => row[a]!));
    const centred = (column: readonly number[]) => {
      const mean = column.reduce((s, x) => s + x, 0) / column.length;
      return column.map((x) => x - mean);
    };
    const dot = (x: readonly number[], y: readonly number[]) =>
      x.reduce((s, v, i) => s + v * y[i]!, 0);
    const ranks = columns.map(centred);
    ranks.forEach((x, i) =>
      ranks.slice(0, i).forEach((y, j) => {
        const correlation = dot(x, y) / Math.sqrt(dot(x, x) * dot(y, y));
        expect(correlation, `${AXES[i]} and ${AXES[j]}`).toBeLessThan(0.9);
      }),
    );
    const parts = AXES.map((_, a) => centred(figures.map((row) => row[a]!)));
    const eigen = symmetricEigen(parts.map((x) => parts.map((y) => dot(x, y))));
    const all = eigen.reduce((s, { value }) => s + value, 0);
    const six = eigen.slice(0, 6).reduce((s, { value }) => s + value, 0);
    expect(six / all).toBeLessThan(0.95);
  });
});

describe('the scale, common practice, no source', () => {
  it('beer without hops has no hop note: under 0.5, under 1.5 with thiol-releasing yeast', () => {
    for (const intensity of beer(model, []).intensities) expect(intensity).toBeLessThan(0.5);
    for (const intensity of beer(model, [], { yeast: 'thiol_releasing' }).intensities) {
      expect(intensity).toBeLessThan(1.5);
    }
  });

  it('a gram of Citra in 20 L is at most just noticeable, 8 g/L clear, 16 g/L little more', () => {
    for (const intensity of dryHopped(model, 'Citra', 0.05).intensities) {
      expect(intensity).toBeLessThan(1.5);
    }
    const citra = dryHopped(model, 'Citra', 8);
    for (const axis of ['tropical', 'citrus'] as const) {
      expect(axisOf(citra, axis)).toBeGreaterThan(2.5);
      expect(axisOf(citra, axis)).toBeLessThan(5);
      expect(axisOf(citra, axis)).toBeGreaterThan(axisOf(citra, 'floral'));
    }
    // Published best range of dry hopping: 4 to 8 g/L (LAF18).
    HOPS.forEach(({ name }, h) => {
      const more = dryHopped(model, name, 16).intensities;
      AT_8[h]!.intensities.forEach((now, a) => {
        if (now >= 1) expect(more[a]! / now, `${name} ${AXES[a]}`).toBeLessThan(1.15);
      });
    });
  });

  it('the words fit: traces noticed at most, a usual dry hop clear, a heavy one nearly strong', () => {
    const citra = (gPerL: number) => axisOf(dryHopped(model, 'Citra', gPerL), 'tropical');
    expect(citra(0.05)).toBeLessThan(1.2);
    expect(citra(4)).toBeGreaterThan(2);
    expect(citra(20)).toBeGreaterThan(2.9);
    const most = Math.max(
      ...HOPS.flatMap(({ name }) => [...dryHopped(model, name, 20).intensities]),
    );
    expect(most).toBeLessThan(6);
  });

  it('hops are told apart as brewers do', () => {
    const lager: Stages = {
      boil: { minutes: 60 },
      hot_steep: { temp_c: 85, minutes: 20, closed: false },
    };
    const saaz = beer(
      model,
      [
        ['Saaz', 'boil', 40],
        ['Saaz', 'hot_steep', 30],
      ],
      { stages: lager },
    );
    expect(axisOf(saaz, 'herbal_spice')).toBe(Math.max(...saaz.intensities));
    const at8 = (hop: string, axis: AxisId) => axisOf(dryHopped(model, hop, 8), axis);
    expect(at8('Cascade', 'citrus')).toBeGreaterThan(at8('Hallertauer Mittelfrüh', 'citrus') + 1);
    expect(at8('Centennial', 'resin')).toBeGreaterThan(at8('Citra', 'resin'));
    expect(at8('Simcoe', 'resin')).toBeGreaterThan(at8('Citra', 'resin') + 1);
    expect(at8('Citra', 'citrus')).toBeGreaterThan(at8('Magnum', 'citrus') + 1);
  });
});

describe('the figure shown', () => {
  it('lies between the 40 and 60 % points of its draws for nine of ten axes of drawn designs', () => {
    const { uniform } = randomFrom(0.3);
    const pick = <T>(of: readonly T[]) => of[Math.floor(uniform() * of.length)]!;
    let middle = 0;
    let all = 0;
    for (let i = 0; i < 60; i += 1) {
      const additions = Array.from({ length: 1 + Math.floor(uniform() * 4) }, () => {
        const form = pick<FormId>(['pellet_90', 'pellet_90', 'pellet_enriched', 'cone']);
        const lot = lotOf(model, { hop: pick(HOPS).name, form });
        if (!lot.ok) throw new Error('no lot');
        const stage = pick<StageKind>(['mash', 'boil', 'hot_steep', 'dry_hop', 'dry_hop']);
        return { lot: lot.value, stage, grams: Math.round(10 + uniform() * 120) };
      });
      const design = {
        name: '',
        batch: { ...TABLE_BATCH, yeast: pick<YeastId>(['standard', 'thiol_releasing']) },
        stages: {
          mash: { temp_c: 66, minutes: 60, boil_minutes: 60 },
          boil: { minutes: 10 + Math.floor(uniform() * 50) },
          hot_steep: { temp_c: 70 + uniform() * 25, minutes: 20, closed: false },
          dry_hop: {
            temp_c: 4 + uniform() * 16,
            hours: 24 + uniform() * 120,
            mixed: uniform() < 0.5,
            live_yeast: uniform() < 0.5,
          },
        },
        additions,
      };
      const point = predictPoint(model, design);
      const sample = sampleDesign(model, design, { samples: 500, seed: 20 });
      point.intensities.forEach((shown, a) => {
        if (shown < 0.5) return;
        const [low, high] = quantilesOf(sample.intensities[a]!, [0.4, 0.6]);
        all += 1;
        if (shown >= low! && shown <= high!) middle += 1;
      });
    }
    console.log(`figure shown amid its draws: ${((100 * middle) / all).toFixed(1)} % of ${all}`);
    expect(middle / all).toBeGreaterThanOrEqual(0.9);
  });

  it('is on the scale of its signal', () => {
    const values = defaultValues(model);
    for (const point of AT_8.slice(0, 5)) {
      point.signals.forEach((signal, a) => {
        expect(intensityOf(signal, values)).toBeCloseTo(point.intensities[a]!, 12);
      });
    }
  });
});
