// The register of equations against the engine: each parameter is moved a little, and whatever moves
// with it must cite it through its equation and those below.
import { expect, test } from 'vitest';
import { predict } from '#engine/answer/answer.ts';
import { designOf } from '#engine/predict/design.ts';
import { chainOf, equationOf, equationsWith, parametersOf } from '#engine/evidence/equations.ts';
import { EQUATION_IDS, type EquationId } from '#engine/symbols/equation-ids.ts';
import { model, type Model, type ParameterId } from '#engine/tables/model.ts';
import sources from '#data/generated/sources.json' with { type: 'json' };
import { TOTAL_EQUATIONS } from '#shared/evidence/provenance.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { scheduleOf } from '../support/examples.ts';

const OF_BANDS = parametersOf('band');
/** Of figures that are given without a band. */
const NO_BAND = [/^carbonation\./, /^aroma\.middle\./];
const IDS = Object.keys(model.parameters) as ParameterId[];
const SMALL = { seed: 1, samples: 20 };

const KEPT = { months: 8, temp_c: 12, packed: 'opened' } as const;
const COLD = { months: 8, temp_c: 10, packed: 'sealed' } as const;
const additions = (storage: Addition['storage']): Addition[] => [
  { hop: 'Cascade', form: 'cone', stage: 'mash', grams: 40, price_per_kg: 20, storage },
  { hop: 'Saaz', form: 'cone', stage: 'boil', grams: 5, storage },
  { hop: 'Apollo', form: 'pellet_90', stage: 'hot_steep', grams: 30, storage },
  { hop: 'Nelson Sauvin', form: 'pellet_enriched', stage: 'hot_steep', grams: 20, storage },
  { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 60, storage },
  { hop: 'Mosaic', form: 'pellet_enriched', stage: 'dry_hop', grams: 20, storage },
  { hop: 'Perle', form: 'cone', stage: 'dry_hop', grams: 30, storage },
];
const batch = { beer_l: 20, malt_g_per_l: 200, co2_vol: 2.4, shelf_temp_c: 12 } as const;
const mash = { temp_c: 66, minutes: 60, boil_minutes: 60 } as const;
/** All stages, forms, packings and yeasts between them. */
const SCHEDULES: readonly Schedule[] = [
  scheduleOf(additions(KEPT), {
    batch: { ...batch, yeast: 'thiol_releasing' },
    stages: {
      mash,
      boil: { minutes: 20 },
      hot_steep: { temp_c: 85, minutes: 15, closed: false },
      dry_hop: { temp_c: 14, hours: 144, mixed: true, live_yeast: true },
    },
  }),
  scheduleOf(additions(COLD), {
    batch: { ...batch, yeast: 'standard' },
    stages: {
      mash,
      boil: { minutes: 5 },
      hot_steep: { temp_c: 80, minutes: 10, closed: true, cooling: { to_c: 20, minutes: 40 } },
      dry_hop: { temp_c: 14, hours: 30, mixed: false, live_yeast: false },
    },
  }),
  // Little enough of everything that no cap holds, and an index that tells the age.
  scheduleOf(
    [
      {
        hop: 'Citra',
        form: 'pellet_90',
        stage: 'dry_hop',
        grams: 10,
        storage: { storage_index: 0.5 },
      },
    ],
    { batch: { ...batch, yeast: 'standard' } },
  ),
  // So much of everything that every cap holds.
  scheduleOf(
    [
      { hop: 'Apollo', form: 'pellet_90', stage: 'hot_steep', grams: 250 },
      { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 500 },
    ],
    { batch: { ...batch, yeast: 'standard' } },
  ),
];

/** Marks the two ends of a band among the figures. */
const BAND = / (low|high)$/;

/** Every figure of a prediction, and both ends of its band, with the equation it cites. */
function figuresOf(of: Model, schedule: Schedule): Map<string, [EquationId, number]> {
  const design = designOf(of, schedule);
  if (!design.ok) throw new Error(JSON.stringify(design.problems));
  const { totals, totals_band, compounds, axes, creep, shelf, warnings } = predict(
    of,
    design.value,
    SMALL,
  );
  const figures = new Map<string, [EquationId, number]>();
  const add = (name: string, equation: EquationId, value: number | null) => {
    if (value !== null) figures.set(name, [equation, value]);
  };
  const banded = (
    name: string,
    equation: EquationId,
    value: number | null,
    low: number | null,
    high: number | null,
  ) => {
    add(name, equation, value);
    add(`${name} low`, equation, low);
    add(`${name} high`, equation, high);
  };
  for (const [id, value] of Object.entries(totals)) {
    const band = totals_band[id as keyof typeof totals_band] ?? { low: null, high: null };
    banded(
      id,
      TOTAL_EQUATIONS[id as keyof typeof totals] as EquationId,
      value,
      band.low,
      band.high,
    );
  }
  for (const [id, { ug_per_l, low, high, oav, oav_low, oav_high }] of Object.entries(compounds)) {
    banded(id, 'concentration', ug_per_l, low, high);
    banded(`${id} oav`, 'odour_activity', oav, oav_low, oav_high);
  }
  for (const [id, { intensity, low, high, signal }] of Object.entries(axes)) {
    add(`${id} signal`, 'signal', signal);
    banded(id, 'intensity', intensity, low, high);
  }
  add('extract', 'creep', creep!.extract_p);
  add('pressure', 'carbonation', creep!.pressure_bar_at_20c);
  for (const { months, compounds: left, axes: then } of shelf.points) {
    for (const [id, value] of Object.entries(left)) add(`${months} ${id}`, 'shelf', value);
    for (const [id, { intensity, low, high }] of Object.entries(then)) {
      banded(`${months} ${id} axis`, 'shelf_axes', intensity, low, high);
    }
  }
  for (const { id, figure } of warnings) add(`warning ${id}`, 'warnings', figure);
  return figures;
}

/** The model with one row a little up: default and range. */
function moved(id: ParameterId): Model {
  const row = model.parameters[id];
  const step = row.central === 0 ? 0.01 * (row.high || 1) : row.central * 0.01;
  const central = row.central + step;
  const high = Math.max(row.high * 1.01, central);
  const low = Math.min(row.low * 1.01, central);
  return { ...model, parameters: { ...model.parameters, [id]: { ...row, low, central, high } } };
}

test('a parameter moves only figures whose equations cite it, and their bands', () => {
  const before = SCHEDULES.map((schedule) => figuresOf(model, schedule));
  const still: ParameterId[] = [];
  const uncited: string[] = [];
  const bandless: ParameterId[] = [];
  for (const id of IDS) {
    let moves = false;
    let widens = false;
    const other = moved(id);
    SCHEDULES.forEach((schedule, i) => {
      for (const [name, [equation, value]] of figuresOf(other, schedule)) {
        const was = before[i]!.get(name)?.[1];
        if (was === undefined || Math.abs(value - was) <= 1e-12 * Math.abs(was)) continue;
        const ofBand = BAND.test(name);
        if (ofBand) widens = true;
        else moves = true;
        if (ofBand && OF_BANDS.includes(id)) continue;
        if (!chainOf(equation).some((below) => parametersOf(below).includes(id))) {
          uncited.push(`${id} moves ${name}, ${equation} does not cite it`);
        }
      }
    });
    if (!moves) still.push(id);
    if (moves && !widens) bandless.push(id);
  }
  expect(uncited).toEqual([]);
  expect(bandless.filter((id) => !NO_BAND.some((known) => known.test(id)))).toEqual([]);
  // Of bands and limits; of the brew day, which changes no figure of a beer; of the fit, done before; where compounds speak alone; of a class without a
  // variety; energies where the rate is 0.
  const elsewhere = [
    /^(spread|lot|warn|reported|brewday)\./,
    /^aroma\.(jnd|alone)$/,
    /^precursor\.g_sh3\.low$/,
  ];
  for (const id of IDS.filter((i) => i.startsWith('shelf.rate.'))) {
    const energy = id.slice('shelf.rate.'.length);
    if (model.parameters[id].central === 0)
      elsewhere.push(new RegExp(`^shelf\\.energy\\.${energy}$`));
  }
  expect(still.filter((id) => !elsewhere.some((known) => known.test(id)))).toEqual([]);
});

test('every parameter stands in an equation, and every equation names rows that exist', () => {
  expect(IDS.filter((id) => equationsWith(id).length === 0)).toEqual([]);
  for (const id of EQUATION_IDS) {
    const { sources: of, gives, formulas } = equationOf(id);
    for (const source of of) expect(sources, id).toHaveProperty([source]);
    expect(gives, id).not.toBe('');
    expect(formulas, id).not.toEqual([]);
  }
});
