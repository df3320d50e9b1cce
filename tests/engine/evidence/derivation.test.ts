// The equations with their numbers filled in: each evaluates to the figure the engine predicts, as data
// to the digit and as the text that is shown to a thousandth; the rows behind it resolve.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { AXES, COMPOUNDS, FORMS, OWN_SCHOOLS, STATUSES, YEASTS } from '#shared/ids.ts';
import { STAGE_KINDS } from '#shared/stages/kinds.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { agedFigures } from '#engine/lot/ageing.ts';
import { lotOf } from '#engine/lot/composition.ts';
import {
  derivationOf,
  lotDerivationOf,
  workingOf,
  type Derivation,
} from '#engine/evidence/derivation.ts';
import { designOf } from '#engine/predict/design.ts';
import { model, modelFor, type Model } from '#engine/tables/model.ts';
import { resolveProvenance } from '#engine/evidence/provenance.ts';
import { outlookOf } from '#engine/answer/outlook.ts';
import { predictPoint, totalsOf } from '#engine/predict/predict.ts';
import { evidenceShares } from '#engine/symbols/standing.ts';
import { numberText, textOf } from '#engine/symbols/reading.ts';
import { labelled, type Line } from '#engine/symbols/term.ts';
import { axisEvidence } from '#engine/evidence/axis-evidence.ts';
import { scheduleOf, soundDesign } from '../support/examples.ts';

/** Reads a filled-in equation as arithmetic, and nothing of how it was made. */
function evaluated(text: string): number {
  const code = text
    .replaceAll('−', '-')
    .replaceAll('×', '*')
    .replaceAll('^', '**')
    .replaceAll(/\b(exp|min|max|log10)\(/g, 'Math.$1(')
    .replaceAll(/\bln\(/g, 'Math.log(');
  return Number(new Function(`return ${code === '' ? 0 : code}`)());
}

const linesRead = new WeakSet<Line>();
const idsResolved = new Set<string>();

function holds(derivation: Derivation | null, figure: number, id: string): void {
  const top = derivation?.lines[0]?.value ?? NaN;
  if (!(Math.abs(top - figure) <= 1e-9 * Math.abs(figure) + 1e-12)) {
    expect.fail(`${id}: ${top}, not ${figure}`);
  }
  for (const line of derivation!.lines) {
    if (linesRead.has(line)) continue;
    linesRead.add(line);
    if (line.manySteps) continue;
    const text = textOf(line.term);
    const shown = evaluated(text);
    if (!(Math.abs(shown - line.value) <= 2e-3 * Math.abs(line.value) + 1e-9)) {
      expect.fail(`${line.name}: ${text} = ${shown}, not ${line.value}`);
    }
  }
  for (const { id: row, name } of derivation!.leaves) {
    if (idsResolved.has(row!)) continue;
    idsResolved.add(row!);
    expect(resolveProvenance(row!).ok, row!).toBe(true);
    expect(name, row!).not.toBe('');
  }
}

/** Every figure of a design against what the engine predicts. */
function holdsAll(schedule: Schedule): void {
  const of = modelFor(model, schedule);
  const read = designOf(of, schedule);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  const design = read.value;
  const point = predictPoint(of, design);
  const totals = totalsOf(design, point);
  const outlook = outlookOf(of, design, point, { low: 0, high: 0 });
  const working = workingOf(of, design);
  const check = (id: string, figure: number) => holds(derivationOf(working, id), figure, id);
  COMPOUNDS.forEach((c, i) => {
    check(`equation/concentration/${c}`, point.compounds[i]!);
    const oav = point.oavs[i] ?? null;
    if (oav !== null) check(`equation/odour_activity/${c}`, oav);
    else expect(derivationOf(working, `equation/odour_activity/${c}`)).toBeNull();
    check(`equation/shelf/${c}/3`, outlook.shelf.points[2]!.compounds[c]);
  });
  AXES.forEach((axis, a) => {
    check(`equation/signal/${axis}`, point.signals[a]!);
    check(`equation/intensity/${axis}`, point.intensities[a]!);
    check(`equation/shelf_axes/${axis}/6`, outlook.shelf.points[3]!.axes[axis].intensity);
  });
  const TOTALS = {
    hop_weight: totals.hop_g,
    'hop_weight/per_l': totals.hop_g_per_l,
    leaf: totals.leaf_g_per_l,
    ibu: totals.ibu,
    bitter_taste: totals.bitter_taste_mg_per_l,
    polyphenols: totals.polyphenols_mg_per_l,
    beer_lost: totals.beer_lost_l,
    ph_rise: totals.ph_rise,
    creep_co2: totals.creep_co2_vol,
    creep_to_come: totals.creep_to_come_vol,
  };
  for (const [id, figure] of Object.entries(TOTALS)) check(`equation/${id}`, figure);
  if (totals.cost === null) expect(derivationOf(working, 'equation/cost')).toBeNull();
  else check('equation/cost', totals.cost);
  const { creep } = outlook;
  if (!creep) return;
  check('equation/creep', creep.extract_p);
  if (creep.co2_vol === null) return;
  check('equation/creep_to_come/in_all', creep.co2_vol);
  check('equation/carbonation', creep.pressure_bar_at_20c!);
  check('equation/carbonation/planned', creep.planned_pressure_bar_at_20c!);
}

const additions = fc.array(
  fc.record(
    {
      hop: fc.constantFrom(...model.hops.map(({ name }) => name)),
      form: fc.constantFrom(...FORMS),
      stage: fc.constantFrom(...STAGE_KINDS),
      grams: fc.oneof(fc.constant(0), fc.integer({ min: 1, max: 400 })),
      price_per_kg: fc.integer({ min: 1, max: 90 }),
      package_g: fc.constantFrom(100, 250),
      analysis: fc.constantFrom(
        { alpha_pct: 11, total_oil_ml_per_100g: 2.2, linalool_pct_of_oil: 0.9 },
        { sh3_ug_per_kg: 40, g_sh3_mg_per_kg: 12 },
        { myrcene_pct_of_oil: 88, geraniol_pct_of_oil: 2 },
        { precursor: 'high' as const },
      ),
      storage: fc.constantFrom(
        { storage_index: 0.45 },
        { months: 14, temp_c: 5, packed: 'opened' as const },
        { months: 8, temp_c: -2, packed: 'sealed' as const, months_since_analysis: 3 },
      ),
    },
    { requiredKeys: ['hop', 'form', 'stage', 'grams'] },
  ),
  { maxLength: 4 },
) as fc.Arbitrary<Addition[]>;

const schedules: fc.Arbitrary<Schedule> = fc.record({
  name: fc.constant('drawn'),
  batch: fc.record(
    {
      beer_l: fc.integer({ min: 18, max: 60 }),
      yeast: fc.constantFrom(...YEASTS),
      malt_g_per_l: fc.integer({ min: 0, max: 300 }),
      co2_vol: fc.constant(2.5),
      shelf_temp_c: fc.constant(8),
    },
    { requiredKeys: ['beer_l', 'yeast', 'malt_g_per_l'] },
  ),
  stages: fc.record({
    mash: fc.constant({ temp_c: 66, minutes: 60, boil_minutes: 45 }),
    boil: fc.record({ minutes: fc.integer({ min: 0, max: 90 }) }),
    hot_steep: fc.record(
      {
        temp_c: fc.integer({ min: 60, max: 98 }),
        minutes: fc.integer({ min: 5, max: 60 }),
        closed: fc.boolean(),
        cooling: fc.constant({ to_c: 50, minutes: 15 }),
      },
      { requiredKeys: ['temp_c', 'minutes', 'closed'] },
    ),
    dry_hop: fc.record({
      temp_c: fc.integer({ min: 2, max: 20 }),
      hours: fc.integer({ min: 12, max: 240 }),
      mixed: fc.boolean(),
      live_yeast: fc.boolean(),
    }),
  }),
  additions,
  thresholds: fc.constantFrom(undefined, ...OWN_SCHOOLS),
}) as fc.Arbitrary<Schedule>;

describe('an equation with its numbers filled in', () => {
  it('evaluates to what the engine predicts, whatever the design', () => {
    fc.assert(fc.property(schedules, holdsAll), { numRuns: 40 });
  });

  it('rests on the shares the axes of an answer do, were the process known for certain', () => {
    const sure = Object.entries(model.parameters).map(([id, row]) => {
      const hops = /^(malt\.|precursor\.g_sh3\.|leaf\.)/.test(id);
      return [id, hops ? row : { ...row, low: row.central, high: row.central }];
    });
    const firm: Model = { ...model, parameters: Object.fromEntries(sure) };
    const batch = { beer_l: 20, yeast: 'thiol_releasing', malt_g_per_l: 200 } as const;
    const design = soundDesign(
      scheduleOf(
        [
          { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 80 },
          { hop: 'Cascade', form: 'cone', stage: 'mash', grams: 60 },
          { hop: 'Saaz', form: 'pellet_enriched', stage: 'hot_steep', grams: 40 },
        ],
        { batch },
      ),
    );
    const resting = axisEvidence(firm, design);
    const working = workingOf(model, design);
    for (const axis of AXES) {
      const { shares } = derivationOf(working, `equation/intensity/${axis}`)!;
      for (const s of STATUSES) {
        expect(shares?.[s] ?? 0, `${axis} ${s}`).toBeCloseTo(resting[axis]?.[s] ?? 0, 9);
      }
    }
  });

  it('names the cells of the hops that bring a compound, and no others', () => {
    const design = soundDesign(
      scheduleOf([
        { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 80 },
        { hop: 'Cascade', form: 'pellet_90', stage: 'hot_steep', grams: 0 },
      ]),
    );
    const { leaves } = derivationOf(workingOf(model, design), 'equation/concentration/linalool')!;
    const cells = leaves.filter(({ id }) => id!.startsWith('cell/'));
    expect(cells.map(({ id }) => id).sort()).toEqual([
      'cell/citra/linalool_pct_of_oil',
      'cell/citra/total_oil_ml_per_100g',
    ]);
    expect(cells.every(({ sources, status }) => sources.length > 0 && status !== null)).toBe(true);
  });

  it('tells which hops have no figure', () => {
    const hop = model.hops.find(({ cells }) => !cells.linalool_pct_of_oil)!;
    const given = { hop: hop.name, form: 'pellet_90', stage: 'dry_hop', grams: 80 } as const;
    const working = workingOf(model, soundDesign(scheduleOf([given])));
    expect(derivationOf(working, 'equation/concentration/linalool')!.missing).toEqual([hop.name]);
    expect(derivationOf(working, 'equation/no_such/linalool')).toBeNull();
    expect(derivationOf(working, 'parameter/oil.density')).toBeNull();
  });

  it('gives every aged figure of a lot', () => {
    const storage = [
      { months: 14, temp_c: 5, packed: 'opened' },
      { storage_index: 0.5, packed: 'sealed', temp_c: 4, months_since_analysis: 6 },
    ] as const;
    for (const kept of storage) {
      for (const analysis of [
        {},
        { alpha_pct: 12, myrcene_pct_of_oil: 40 },
        { myrcene_pct_of_oil: 90 },
      ]) {
        const lot = lotOf(model, { hop: 'Cascade', form: 'pellet_90', analysis, storage: kept });
        if (!lot.ok) throw new Error('no lot');
        const aged = agedFigures(model, lot.value);
        expect(aged.length).toBeGreaterThan(10);
        for (const { figure, now } of aged) {
          const id = `equation/storage/${figure}`;
          holds(lotDerivationOf(model, lot.value, id), now, id);
        }
      }
    }
  });
});

it('writes numbers so that they can be read back', () => {
  expect(numberText(7.9e11, 7)).toBe('(7.9 × 10^(11))');
  expect(numberText(-0.5, 4)).toBe('−0.5');
  expect(evaluated(numberText(1.234e-7, 4))).toBeCloseTo(1.234e-7, 15);
  expect(evidenceShares(labelled([]))).toBeNull();
});
