// What filled-in equations are made of: rows of the tables, figures of a lot, and what the document gave,
// each as a term that knows its id, range, status and sources.
import type { AnalyteId, AxisId, CompoundId, Tendency } from '#shared/ids.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import type { Descriptor, Hop } from '#shared/schemas/tables.ts';
import descriptorRows from '#data/generated/descriptors.json' with { type: 'json' };
import { findHop, type Lot } from './composition.ts';
import type { Design } from './design.ts';
import { parameterStatus, type Model, type ParameterId } from './model.ts';
import { analyteName, analyteUnit, compoundSign } from './names.ts';
import { lotsOf } from './predict.ts';
import { num, type Leaf, type Line } from './terms.ts';

/** A design at the defaults, with the lines worked out so far, so that each stands once. */
export interface Working {
  readonly model: Model;
  readonly design: Design;
  readonly lines: Map<string, Line>;
}

/** The line of that name, worked out once. */
export function once({ lines }: Working, key: string, make: () => Line): Line {
  const known = lines.get(key) ?? make();
  lines.set(key, known);
  return known;
}

interface Row {
  readonly low: number;
  readonly central: number;
  readonly high: number;
  readonly status: Leaf['status'];
  readonly sources: readonly string[];
}

function rowLeaf(
  id: string,
  name: string,
  unit: string,
  row: Row,
  judged: Leaf['judged'] = row.status,
): Leaf {
  const { low, central: value, high, status, sources } = row;
  return { kind: 'leaf', value, id, name, unit, low, high, status, sources, judged };
}

/** Rows that stand for what is in hops or malt, or for how leaf smells. */
const JUDGED = /^(malt\.|precursor\.g_sh3\.|leaf\.)/;

export function parameter({ model }: Pick<Working, 'model'>, id: ParameterId): Leaf {
  const row = model.parameters[id];
  return rowLeaf(
    `parameter/${id}`,
    row.label,
    row.unit,
    row,
    JUDGED.test(id) ? parameterStatus(row) : null,
  );
}

/** What the document gave: nobody doubts it. */
export function given(path: string, value: number, name: string, unit: string): Leaf {
  return { ...num(value), id: `input/${path}`, name, unit };
}

/** The odour threshold in use; `null` where none in beer is known. */
export function thresholdOf({ model }: Working, compound: CompoundId): Leaf | null {
  const { name, threshold, schools } = model.compounds[compound];
  if (!threshold) return null;
  const own = model.school !== 'middle' && schools[model.school] !== undefined;
  const id = `threshold/${compound}${own ? `/${model.school}` : ''}`;
  return rowLeaf(id, `Odour threshold of ${name}`, 'ug/L', threshold);
}

/** Rule of this project; the descriptors behind it are what was read. */
export function weightOf(axis: AxisId, driver: CompoundId | 'leaf', weight: number): Leaf {
  const name = spoken(AXIS_NAMES[axis]);
  const told = (descriptorRows as Descriptor[]).filter(
    (d) => d.driver === driver && d.axis === axis,
  );
  const best = told.reduce((a, b) => (b.rank < a.rank ? b : a));
  const sources = [...new Set(told.flatMap((d) => d.sources))];
  const row = { low: weight, central: weight, high: weight, status: best.status, sources };
  return rowLeaf(
    `weight/${axis}/${driver}`,
    `Weight of ${driver === 'leaf' ? 'leaf' : compoundSign(driver)} on ${name}`,
    '',
    row,
    null,
  );
}

/** A row of the hop table. */
export function cellLeaf(hop: Hop, analyte: AnalyteId): Leaf | undefined {
  const cell = hop.cells[analyte];
  const name = `${analyteName(analyte)} of ${hop.name}`;
  return cell && rowLeaf(`cell/${hop.id}/${analyte}`, name, analyteUnit(analyte), cell);
}

/** Alpha acids a variety keeps in 6 months at room temperature. */
export function keepingLeaf(hop: Hop): Leaf | undefined {
  const name = `alpha acids ${hop.name} keeps in 6 months`;
  return hop.keeping
    ? rowLeaf(`cell/${hop.id}/keeping`, name, '% of the fresh', hop.keeping)
    : undefined;
}

/** Bound 3SH of a variety by its class, where nobody measured it. */
export function classLeaf({ model }: Pick<Working, 'model'>, hop: Hop): Leaf {
  const { tendency, sources } = hop.precursor;
  const row = model.parameters[`precursor.g_sh3.${tendency}`];
  const name = `bound 3SH of ${hop.name} by class: ${tendency}`;
  const of = { ...row, sources: [...new Set([...sources, ...row.sources])] };
  return rowLeaf(`cell/${hop.id}/precursor`, name, row.unit, of);
}

/** A figure of a lot: of its own analysis, of the table, or estimated from its analysis. */
export function figureOf({ model }: Working, lot: Lot, analyte: AnalyteId): Leaf | null {
  const figure = lot.figures[analyte];
  if (!figure) return null;
  const hop = findHop(model, lot.hop);
  const name = `${analyteName(analyte)} of ${lot.hop}`;
  const unit = analyteUnit(analyte);
  if (figure.status === 'analysis') {
    return rowLeaf(`input/analysis/${lot.hop}/${analyte}`, name, unit, figure);
  }
  const cell = hop && cellLeaf(hop, analyte);
  if (cell) return cell;
  const estimator = model.estimators.find((e) => e.analyte === analyte);
  return rowLeaf(`estimator/${estimator?.id ?? analyte}`, name, unit, figure);
}

/** Bound 3SH by class, where nobody measured it. */
export function boundByClass(working: Working, lot: Lot): Leaf {
  const hop = findHop(working.model, lot.hop);
  const tendency: Tendency = lot.tendency;
  if (hop && hop.precursor.tendency === tendency) return classLeaf(working, hop);
  return parameter(working, `precursor.g_sh3.${tendency}`);
}

/** Grams of an addition and litres of beer, as given or searched. */
export function gramsOf(working: Working, a: Design['additions'][number]): Leaf {
  const name = `${a.lot.hop} in the ${a.stage.replace('_', ' ')}`;
  return given(`grams/${a.lot.hop}/${a.stage}`, a.grams, name, 'g');
}
export function beerOf({ design }: Working): Leaf {
  return given('batch.beer_l', design.batch.beer_l, 'Beer', 'L');
}

/** Lots of a design with a figure nobody gave. */
export function withoutFigure({ design }: Working, analyte: AnalyteId): string[] {
  return [
    ...new Set(
      lotsOf(design)
        .filter((l) => l.unknown.includes(analyte))
        .map((l) => l.hop),
    ),
  ];
}
