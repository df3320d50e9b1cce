// The hops of a model that has own varieties and own figures: an own figure replaces the published cell by the
// same rule as in the data build, and missing figures of a new variety are estimated where possible.
import { ANALYTES, FORMS, REQUIRED_ANALYTES, type AnalyteId } from '#shared/ids.ts';
import { estimatedCell } from '#shared/evidence/estimate.ts';
import { nameKey } from '#shared/name-key.ts';
import { either, nearestNames } from '#shared/names.ts';
import { analysisSchema } from '#shared/schemas/lot.ts';
import { isWithin, rangeOf } from '#shared/schemas/ranges.ts';
import type { Cell, Hop } from '#shared/schemas/tables.ts';
import {
  converted,
  oilExcess,
  rangeOfVotes,
  rounded,
  votesOf,
  type Cells,
  type StatedFigure,
} from '#shared/tables/cells.ts';
import type { OwnRead, OwnRows } from '#shared/tables/own-tables.ts';
import { thiolClass } from '#shared/tables/thiol-class.ts';
import { measuredAnalytes, type Constants } from '#shared/tables/units.ts';
import type { Model } from './model.ts';
import type { OverlayReport } from './overlay-report.ts';

/** What a measurement gives a figure for: a cell, or how well alpha acids keep. */
type Filled = AnalyteId | 'keeping';
const PERCENT = { min: 0, max: 100, above: false, whole: false };

/** The hops with own tables. Reports faults to `report`; a faulty row changes nothing. */
export function hopsWith(
  plain: Model,
  rows: Pick<OwnRows, 'varieties' | 'measurements'>,
  parameters: Model['parameters'],
  report: OverlayReport,
): readonly Hop[] {
  const hops = new Map(plain.hops.map((hop) => [nameKey(hop.name), hop]));
  const ids = new Map(plain.hops.map((hop) => [nameKey(hop.id), hop]));
  const fresh = new Set<string>();
  for (const row of rows.varieties) {
    const hop = varietyOf(row, report);
    if (!hop) continue;
    const known = hops.get(nameKey(hop.name)) ?? ids.get(nameKey(hop.name)) ?? ids.get(hop.id);
    if (known) {
      const cure = fresh.has(known.id)
        ? 'Keep one of the two'
        : 'Leave the row out: figures of a published variety need only your table of measurements';
      report.add('varieties', row.row, 'name', `${row.name} is in the table already`, cure);
      continue;
    }
    fresh.add(hop.id);
    ids.set(hop.id, hop);
    hops.set(nameKey(hop.name), hop);
  }
  const named = (name: string) => hops.get(nameKey(name)) ?? ids.get(nameKey(name));
  for (const [hop, figures] of figuresOf(
    rows.measurements,
    named,
    constantsOf(parameters),
    plain,
    report,
  )) {
    const changed = withFigures(hop, figures);
    const [excess] = oilExcess(changed.cells);
    if (excess) {
      const message = `with your figures the parts of the oil of ${hop.name} add up to ${excess.total.toFixed(1)} %`;
      const { row } = rows.measurements.find(({ variety }) => named(variety) === hop)!;
      const cure = 'Correct the figures in pct_of_oil: together they cannot exceed 100';
      report.add('measurements', row, 'value', message, cure);
      continue;
    }
    for (const analyte of figures.keys()) report.ids.add(`cell/${hop.id}/${analyte}`);
    hops.set(nameKey(hop.name), changed);
  }
  return [...hops.values()].map((hop) =>
    fresh.has(hop.id) ? completed(hop, plain.estimators) : hop,
  );
}

function varietyOf(row: OwnRead<'varieties'>, report: OverlayReport): Hop | null {
  const id = slug(row.id === '-' ? row.name : row.id);
  if (id === '') {
    const cure = 'Write it in Latin letters, or give an id of small letters, figures and hyphens';
    report.add('varieties', row.row, 'name', `no id can be made of "${row.name}"`, cure);
    return null;
  }
  const cited = row.precursor_sources.filter((source) => source !== '-');
  if (!report.cites('varieties', row.row, 'precursor_sources', cited)) return null;
  const { precursor: tendency, precursor_note: note } = row;
  return {
    id,
    name: row.name,
    origin: row.origin === '' ? null : row.origin,
    originStatus: row.origin === '' ? null : 'yours',
    cells: {},
    precursor: { tendency, status: 'yours', sources: cited, note },
    thiolClass: 'unknown',
    keeping: null,
    reported: {},
    forms: FORMS.filter((form) => row.forms.includes(form)),
    missing: [...REQUIRED_ANALYTES],
  };
}

function constantsOf(parameters: Model['parameters']): Constants {
  return {
    oilDensity: parameters['oil.density'].central,
    sh3InCys: parameters['precursor.cys_to_sh3'].central,
  };
}

/** The own figures of each hop, by the cell or the keeping of alpha acids that they are for. */
function figuresOf(
  measurements: OwnRows['measurements'],
  named: (name: string) => Hop | undefined,
  constants: Constants,
  { hops }: Model,
  report: OverlayReport,
): Map<Hop, Map<Filled, StatedFigure[]>> {
  const found = new Map<Hop, Map<Filled, StatedFigure[]>>();
  for (const row of measurements) {
    const hop = named(row.variety);
    const of = hop && figureOf(row, constants, report);
    if (!hop) report.addUnknownHop('measurements', row.row, 'variety', row.variety, hops);
    if (!of || !report.cites('measurements', row.row, 'source_id', [row.source_id])) continue;
    if (row.exclude !== '') continue;
    const ofHop = found.get(hop) ?? new Map<Filled, StatedFigure[]>();
    found.set(hop, ofHop);
    ofHop.set(of.analyte, [...(ofHop.get(of.analyte) ?? []), of.figure]);
  }
  return found;
}

function figureOf(
  row: OwnRead<'measurements'>,
  constants: Constants,
  report: OverlayReport,
): { analyte: Filled; figure: StatedFigure } | null {
  const tell = (column: string, message: string, cure: string) => {
    report.add('measurements', row.row, column, message, cure);
    return null;
  };
  const measured = measuredAnalytes(constants);
  const units = measured.get(row.analyte)?.units;
  if (!units) {
    const near = nearestNames(row.analyte, [...measured.keys()]);
    const cure = `Write ${near.length > 0 ? either(near) : 'a name of data/measurements.csv, like alpha'}`;
    return tell('analyte', `no figure is called ${row.analyte}`, cure);
  }
  if (!Object.hasOwn(units, row.unit)) {
    const cure = `Write ${either(Object.keys(units))}`;
    return tell('unit', `${row.analyte} is not counted in ${row.unit}`, cure);
  }
  const { value, min, max } = row;
  if (value === undefined && (min === undefined || max === undefined)) {
    return tell('value', 'there is no figure', 'Fill value, or both min and max');
  }
  if ((min ?? -Infinity) > (max ?? Infinity)) {
    return tell('min', `min ${min} is above max ${max}`, 'Swap or correct the two');
  }
  const keeping = row.analyte === 'alpha_kept_6_months';
  const of = keeping
    ? {
        analyte: 'keeping' as const,
        figure: { ...{ value, min, max }, source: row.source_id, derived: false },
      }
    : converted(row, constants);
  if (!of) {
    const cure = 'Leave the row out, or give the figure as the table of hops has it';
    return tell('unit', `${row.analyte} in ${row.unit} fills no column of the table`, cure);
  }
  const range = of.analyte === 'keeping' ? PERCENT : rangeOf(analysisSchema.shape[of.analyte]);
  for (const column of ['value', 'min', 'max'] as const) {
    const figure = of.figure[column];
    if (figure === undefined || isWithin(range, figure)) continue;
    const cure = `Write a figure from ${range.min} to ${range.max} in the unit of the table, or correct the unit`;
    return tell(column, `${row[column]} ${row.unit} cannot be ${row.analyte}`, cure);
  }
  return of;
}

/** The id that a name would have in the table. */
function slug(name: string): string {
  const plain = name.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase();
  return plain.replace(/[^a-z0-9]+/g, '-').replace(/^-+|-+$/g, '');
}

function cellOf(figures: readonly StatedFigure[], analyte: AnalyteId | null): Cell {
  const votes = votesOf(figures, analyte);
  const sources = votes.map(({ source }) => source).sort();
  return { ...rangeOfVotes(votes), status: 'yours', sources };
}

/** A hop in which own figures replace the published ones. */
function withFigures(hop: Hop, figures: ReadonlyMap<Filled, readonly StatedFigure[]>): Hop {
  const own: Cells = {};
  let { keeping } = hop;
  for (const [analyte, of] of figures) {
    if (analyte === 'keeping') keeping = cellOf(of, null);
    else own[analyte] = cellOf(of, analyte);
  }
  const cells = { ...hop.cells, ...own };
  const missing = hop.missing.filter((analyte) => !own[analyte]);
  return { ...hop, cells: inOrder(cells), keeping, missing, thiolClass: classOf(hop, cells) };
}

const classOf = ({ precursor }: Hop, cells: Cells) => thiolClass(cells, precursor.tendency);

function inOrder(cells: Cells): Cells {
  return Object.fromEntries(
    ANALYTES.flatMap((analyte) => (cells[analyte] ? [[analyte, cells[analyte]]] : [])),
  );
}

/** A new variety whose missing figures are estimated as for a lot of no known variety. */
function completed(hop: Hop, estimators: Model['estimators']): Hop {
  const cells: Cells = { ...hop.cells };
  for (const estimator of estimators) {
    const { analyte } = estimator;
    const needsOil = analyte.endsWith('_pct_of_oil');
    if (cells[analyte] || (needsOil && !hop.cells.total_oil_ml_per_100g)) continue;
    const cell = estimatedCell(estimator, hop.cells);
    if (!cell) continue;
    const { low, central, high } = cell;
    const range = { low: rounded(low), central: rounded(central), high: rounded(high) };
    cells[analyte] = { ...cell, ...range };
  }
  return { ...hop, cells: inOrder(cells) };
}
