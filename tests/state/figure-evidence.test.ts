// What is told of a figure: the equation filled in with the numbers of its own blend or lot, the rows
// behind it, ranges, and honest words where nothing can be worked out.
import { describe, expect, it } from 'vitest';
import { model } from '#engine/tables/model.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { COMPOUNDS, STATUSES } from '#shared/ids.ts';
import {
  figureEvidence,
  nameOfIds,
  placeOf,
  type FigureScope,
} from '#state/reference/figure-evidence.ts';
import { scheduleOf, soundDesign } from '../engine/support/examples.ts';

const schedule = scheduleOf([
  { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 80, price_per_kg: 40 },
  { hop: 'Cascade', form: 'pellet_90', stage: 'hot_steep', grams: 40, price_per_kg: 25 },
]);
const scope: FigureScope = { kind: 'design', schedule };

describe('what is shown of a figure', () => {
  it('fills in the equation of its blend, and sums the shares of what it rests on', () => {
    const evidence = figureEvidence(['equation/concentration/linalool'], scope);
    const design = soundDesign(schedule);
    const point = predictPoint(model, design);
    expect(evidence.title).toBe('Linalool in the beer');
    expect(evidence.steps[0]!.value).toBeCloseTo(
      point.compounds[COMPOUNDS.indexOf('linalool')]!,
      9,
    );
    expect(evidence.steps[0]!.parts.map(({ label }) => label)).toEqual([
      'Cascade, hot steep',
      'Citra, dry hop',
    ]);
    expect(evidence.unit).toBe('µg/L');
    const ids = evidence.rows.map(({ id }) => id);
    expect(ids).toContain('cell/citra/linalool_pct_of_oil');
    expect(ids).toContain('parameter/dry_hop.yield.linalool');
    expect(ids).toContain('input/batch.beer_l');
    const whole = STATUSES.reduce((sum, s) => sum + (evidence.shares?.[s] ?? 0), 0);
    expect(whole).toBeCloseTo(1, 12);
  });

  it('says of a range what a range is', () => {
    const evidence = figureEvidence(['equation/band', 'equation/ibu'], scope);
    expect(evidence.notes[0]).toMatch(/10 to 90 %/);
    expect(evidence.title).toBe('Bitterness');
    expect(nameOfIds(['equation/band', 'equation/ibu'])).toMatch(/, range$/);
    expect(nameOfIds(['equation/band'])).toMatch(/Band/);
  });

  it('gives the form of an equation where there is nothing to fill in', () => {
    for (const none of [null, { kind: 'lot', spec: { hop: 'nobody', form: 'cone' } } as const]) {
      const evidence = figureEvidence(['equation/polyphenols'], none);
      expect(evidence.steps).toMatchObject([{ equation: 'polyphenols', value: null, parts: [] }]);
      expect(evidence.rows.map(({ id }) => id)).toEqual(['parameter/polyphenol.gain']);
    }
  });

  it('tells a row of a table, what somebody said and what the search says', () => {
    const cell = figureEvidence(['cell/citra/alpha_pct'], null);
    expect(cell).toMatchObject({ title: 'Alpha acids of Citra', unit: '%', steps: [] });
    expect(cell.rows).toMatchObject([{ id: 'cell/citra/alpha_pct' }]);
    expect(figureEvidence(['input/target.citrus'], null).title).toMatch(/^You said so/);
    expect(figureEvidence(['search/milliseconds'], null).rows).toEqual([]);
    expect(figureEvidence(['search/milliseconds', 'search/gap'], null).notes).toHaveLength(1);
  });

  it('fills in what age has left of a lot', () => {
    const storage = { months: 12, temp_c: 4, packed: 'opened' } as const;
    const lot = { kind: 'lot', spec: { hop: 'Cascade', form: 'pellet_90', storage } } as const;
    const evidence = figureEvidence(['equation/storage/alpha_pct'], lot);
    expect(evidence.steps[0]!.value).toBeLessThan(5.6);
    expect(evidence.rows.map(({ id }) => id)).toContain('cell/cascade/keeping');
  });

  it('knows where a row stands on the site', () => {
    expect(placeOf('cell/citra/alpha_pct')).toEqual({
      hop: { id: 'citra', isOwn: false },
      anchor: 'cell/citra/alpha_pct',
    });
    expect(placeOf('own/cell/demo-seedling/alpha_pct')).toEqual({
      hop: { id: 'demo-seedling', isOwn: true },
      anchor: 'cell/demo-seedling/alpha_pct',
    });
    expect(placeOf('equation/intensity/citrus')).toEqual({
      hop: null,
      anchor: 'equation/intensity',
    });
    expect(placeOf('threshold/linalool/us')!.hop).toBeNull();
    expect(placeOf('input/batch.beer_l')).toBeNull();
  });
});
