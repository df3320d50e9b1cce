// The model with tables of one's own: point, bands, search, prices and provenance read them; nothing else moves;
// each row that cannot be taken is told and changes nothing.
import { readFileSync, readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { OwnTable, OwnTables } from '#shared/schemas/own-tables.ts';
import { readOwnTables, withOwn } from '#shared/tables/own-tables.ts';
import { predict } from '#engine/answer/answer.ts';
import { knownModel } from '#engine/doubt/known.ts';
import { comparedOf } from '#engine/lot/likeness.ts';
import { findHop, lotOf } from '#engine/lot/composition.ts';
import { designOf } from '#engine/predict/design.ts';
import { evidenceOf } from '#engine/evidence/evidence.ts';
import { resolveProvenance } from '#engine/evidence/provenance.ts';
import { model, modelFor, type Model } from '#engine/tables/model.ts';
import { ownModel } from '#engine/tables/own.ts';
import { answered } from '#optimize/questions/answering.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';

const SEEDS = new URL('../../../seeds/own/', import.meta.url);
function must<T>(outcome: Outcome<T>): T {
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}
const own = readdirSync(SEEDS).reduce<OwnTables>((all, name) => {
  return withOwn(all, must(readOwnTables(readFileSync(new URL(name, SEEDS), 'utf8'))));
}, {});
const laid = ownModel(model, own);
const mine = laid.model;

const schedule = {
  name: '',
  batch: { beer_l: 20, yeast: 'standard' as const, malt_g_per_l: 200 },
  stages: { dry_hop: { temp_c: 18, hours: 72, mixed: false, live_yeast: false } },
  additions: [
    { hop: 'Demo Seedling', form: 'pellet_90' as const, stage: 'dry_hop', grams: 60 },
    { hop: 'Cascade', form: 'pellet_90' as const, stage: 'dry_hop', grams: 40 },
  ],
};
const beer = (of: Model) => predict(of, must(designOf(of, schedule)));

describe('own tables of the demo brewery', () => {
  it('are all taken, by a model of their own that is kept', () => {
    expect(laid.problems).toEqual([]);
    expect(mine.hops).toHaveLength(model.hops.length + 1);
    expect(ownModel(model, { ...own }).model).toBe(mine);
    expect(ownModel(model, null).model).toBe(model);
    expect(ownModel(model, {}).model).toBe(model);
    // The published model is as it was.
    expect(findHop(model, 'Demo Seedling')).toBeUndefined();
  });

  it('a hop of one’s own has its figures, estimates of the rest, and takes part in designs', () => {
    const hop = findHop(mine, 'demo seedling')!;
    expect(hop.missing).toEqual([]);
    expect(hop.cells.alpha_pct).toEqual({
      ...{ low: 10.5, central: 11.2, high: 12, status: 'yours', sources: ['DEMO-LAB'] },
    });
    expect(hop.cells.citronellol_pct_of_oil?.status).toBe('estimated');
    expect(comparedOf(hop)).toBeDefined();
    const figures = evidenceOf(mine, schedule.additions).statuses;
    expect(figures.yours).toBe(7);
  });

  it('a figure of a published hop takes the place of the cell, the others stay', () => {
    const [before, after] = [findHop(model, 'Cascade')!, findHop(mine, 'Cascade')!];
    expect(after.cells.linalool_pct_of_oil).toMatchObject({ central: 0.55, status: 'yours' });
    expect(after.cells.geraniol_pct_of_oil).toBe(before.cells.geraniol_pct_of_oil);
    expect(findHop(mine, 'Saaz')).toBe(findHop(model, 'Saaz'));
  });

  it('point and bands follow, also under another school of thresholds', () => {
    const cascade = { ...schedule, additions: schedule.additions.slice(1) };
    const of = (m: Model) => predict(m, must(designOf(m, cascade))).compounds.linalool;
    const factor = of(mine).ug_per_l / of(model).ug_per_l;
    const share = findHop(model, 'Cascade')!.cells.linalool_pct_of_oil!.central;
    expect(factor).toBeCloseTo((0.55 / share) * (0.7 / 0.8), 6);
    const { low, high } = of(mine);
    expect(low! < of(mine).ug_per_l && of(mine).ug_per_l < high!).toBe(true);
    const us = modelFor(mine, { thresholds: 'us' });
    expect(findHop(us, 'Demo Seedling')).toBeDefined();
    expect(us.own).toBe(mine.own);
  });

  it('prices hold where nobody gave one', () => {
    const lot = must(lotOf(mine, { hop: 'Demo Seedling', form: 'pellet_90' }));
    expect(lot.pricePerKg).toBe(31);
    const said = must(lotOf(mine, { hop: 'Citra', form: 'pellet_90', price_per_kg: 5 }));
    expect(said.pricePerKg).toBe(5);
    expect(must(lotOf(mine, { hop: 'Citra', form: 'cone' })).pricePerKg).toBeNull();
  });

  it('a search takes the own hop at its own price', () => {
    const { brief } = SEED_BRIEFS.find(({ brief: of }) => of.candidates !== 'table')!;
    const asked: Brief = {
      ...brief,
      target: { floral: { at_least: 1 } },
      minimise: 'cost',
      candidates: [
        { hop: 'Demo Seedling', form: 'pellet_90' },
        { hop: 'Citra', form: 'pellet_90' },
      ],
      limits: { ban: ['Citra'], require: [] },
    };
    const { blends } = must(answered(mine, asked, {}));
    const used = blends[0]!.additions.filter(({ grams }) => grams > 0);
    expect(used.map(({ hop, price_per_kg }) => [hop, price_per_kg])[0]).toEqual([
      'Demo Seedling',
      31,
    ]);
    expect(blends[0]!.totals.cost).toBeGreaterThan(0);
    expect(answered(model, asked, {}).ok).toBe(false);
  });

  it('each row is found by its id, as the published one and as their own', () => {
    expect(mine.own).toContain('parameter/dry_hop.yield.linalool');
    for (const id of mine.own!) {
      expect(must(resolveProvenance(id, mine)), id).toMatchObject({ status: 'yours' });
      expect(must(resolveProvenance(`own/${id}`, mine)).name).toMatch(/^Yours: /);
      expect(resolveProvenance(`own/${id}`).ok).toBe(false);
    }
  });

  it('learning counts on top of them', () => {
    const id = 'parameter/dry_hop.yield.linalool';
    const figure = { factor: 1.1, sd_log: 0.1, score: 0.5, joint: [0.4] };
    const learned = {
      ...{ version: 1, made: '2026-01-01T00:00:00Z', from: ['a'], tasters: {} },
      parameters: { [id]: figure },
    };
    const both = knownModel(model, { own, learned });
    expect(both.plain).toBe(mine);
    const row = both.parameters['dry_hop.yield.linalool'];
    expect([row.status, row.central > 0.7 && row.central < 0.8]).toEqual(['yours', true]);
  });
});

it('own thresholds and notes of compounds count, whoever’s panel is asked for', () => {
  const tables: OwnTables = {
    compounds: [
      ...[{ id: 'linalool', threshold_low: '5', threshold: '10', threshold_high: '20' }].map(
        (row) => ({ ...row, threshold_sources: 'CALC' }),
      ),
    ],
    descriptors: [
      { driver: 'linalool', descriptor: 'tea', rank: '1', axis: 'herbal_spice', sources: 'CALC' },
    ],
  };
  const { model: of, problems } = ownModel(model, tables);
  expect(problems).toEqual([]);
  expect(of.compounds.linalool.threshold?.central).toBe(10);
  expect(modelFor(of, { thresholds: 'us' }).compounds.linalool.threshold?.central).toBe(10);
  const weight = of.weights.find((w) => w.axis === 'herbal_spice' && w.driver === 'linalool');
  expect(weight?.weight).toBe(1);
  expect(beer(ownModel(mine, tables).model).axes.herbal_spice.intensity).toBeGreaterThan(
    beer(mine).axes.herbal_spice.intensity,
  );
});

describe('rows that cannot be taken', () => {
  const of = (table: OwnTable, row: Readonly<Record<string, string>>) => {
    const { problems, model: changed } = ownModel(model, { [table]: [row] });
    expect(changed.hops).toHaveLength(model.hops.length);
    expect(changed.parameters).toEqual(model.parameters);
    expect(changed.compounds).toEqual(model.compounds);
    return problems.map((p) => `${p.path}: ${p.message}. ${p.cure}`);
  };
  const figure = { variety: 'Cascade', analyte: 'alpha', unit: 'pct_w/w', source_id: 'CALC' };

  it.each([
    [
      'measurements',
      { ...figure, value: '120' },
      /row 1, column value: 120 pct_w\/w cannot be alpha.*0 to 100/,
    ],
    ['measurements', { ...figure, unit: 'oz', value: '5' }, /column unit: .*Write .*pct_w\/w/],
    ['measurements', { ...figure, analyte: 'alfa', value: '5' }, /column analyte: .*alpha/],
    ['measurements', { ...figure, variety: 'Casacde', value: '5' }, /column variety: .*Cascade/],
    ['measurements', { ...figure, source_id: 'MINE', value: '5' }, /column source_id: .*MINE/],
    ['measurements', { ...figure, max: '5' }, /column value: there is no figure/],
    ['measurements', { ...figure, min: '6', max: '5' }, /column min: .*Swap/],
    [
      'measurements',
      { ...figure, analyte: 'myrcene', unit: 'pct_of_oil', value: '99' },
      /column value: .*add up to .* Correct/,
    ],
    ['varieties', { name: 'Cascade' }, /column name: .*measurements/],
    ['varieties', { name: '木' }, /column name: .*Latin/],
    [
      'parameters',
      { id: 'no.such', low: '1', default: '1', high: '1', sources: 'CALC' },
      /column id/,
    ],
    [
      'parameters',
      { id: 'dry_hop.yield.linalool', low: '0.1', default: '0.5', high: '80', sources: 'CALC' },
      /column high: 80 cannot be/,
    ],
    [
      'parameters',
      { id: 'dry_hop.yield.linalool', low: '0.9', default: '0.5', high: '1', sources: 'CALC' },
      /column low: .*do not rise/,
    ],
    [
      'compounds',
      {
        id: 'geraniol',
        threshold_low: '-1',
        threshold: '4',
        threshold_high: '5',
        threshold_sources: 'CALC',
      },
      /column threshold: -1 is no odour threshold/,
    ],
    [
      'descriptors',
      { driver: 'geraniol', descriptor: 'x', rank: '9', axis: 'citrus', sources: 'CALC' },
      /column rank: 9/,
    ],
    ['prices', { hop: 'Nope', form: 'cone', price_per_kg: '4' }, /column hop: .*varieties/],
    ['prices', { hop: 'Citra', form: 'cone', price_per_kg: '-4' }, /column price_per_kg: -4/],
  ] as const)('%s %j', (table, row, expected) => {
    const problems = of(table, row as unknown as Record<string, string>);
    expect(problems).toEqual([expect.stringMatching(expected)]);
  });

  it('a row given twice counts once', () => {
    const row = { hop: 'Citra', form: 'cone', price_per_kg: '4' };
    const { model: of2, problems } = ownModel(model, {
      prices: [row, { ...row, price_per_kg: '5' }],
    });
    expect(problems).toHaveLength(1);
    expect([...of2.prices!.values()]).toEqual([4]);
  });
});
