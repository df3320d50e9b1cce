// The figures of a lot as terms: from its own analysis, from the table, or estimated. Each has the name under
// which a world (symbols/world.ts) looks up another value for it.
import { AXES, type AnalyteId, type AxisId } from '#shared/ids.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import type { Hop } from '#shared/schemas/tables.ts';
import { findHop, type Lot } from './composition.ts';
import type { Model } from '#engine/tables/model.ts';
import { analyteName, analyteUnit } from '#engine/tables/names.ts';
import { given, parameter, rowLeaf } from '#engine/symbols/rows.ts';
import type { Leaf } from '#engine/symbols/term.ts';

/** The name of a lot among other hops and forms: the variety and the form. */
export function lotName({ hop, form }: Lot): string {
  return form === 'pellet_90' ? hop : `${hop}, ${form === 'cone' ? 'cone' : 'enriched'}`;
}

const lotKeys = new WeakMap<Lot, number>();
let nextKey = 0;
/** A number for each lot, unique while the program runs; part of the names of the lot's lines. */
export function keyOf(lot: Lot): number {
  const key = lotKeys.get(lot) ?? (nextKey += 1);
  lotKeys.set(lot, key);
  return key;
}

/** A figure of a variety, with its row of the hop table; `undefined` where the table has none. */
export function cellLeaf(hop: Hop, analyte: AnalyteId): Leaf | undefined {
  const cell = hop.cells[analyte];
  const name = `${analyteName(analyte)} of ${hop.name}`;
  return cell && rowLeaf(`cell/${hop.id}/${analyte}`, name, analyteUnit(analyte), cell, null);
}

/** Alpha acids that a variety keeps in 6 months at room temperature, %. */
export function keepingLeaf(hop: Hop): Leaf | undefined {
  const name = `alpha acids ${hop.name} keeps in 6 months`;
  return hop.keeping
    ? rowLeaf(`cell/${hop.id}/keeping`, name, '% of the fresh', hop.keeping, null)
    : undefined;
}

/** Bound 3SH of a variety by its class, mg/kg, used where no measurement exists. */
export function classLeaf(model: Model, hop: Hop): Leaf {
  const { tendency, sources } = hop.precursor;
  const row = model.parameters[`precursor.g_sh3.${tendency}`];
  const name = `bound 3SH of ${hop.name} by class: ${tendency}`;
  const of = { ...row, sources: [...new Set([...sources, ...row.sources])] };
  return rowLeaf(`cell/${hop.id}/precursor`, name, row.unit, of, null);
}

/** What tasters report of a variety on an axis beyond what its compounds explain, as signal per g/L. */
export function reportedLeaf(hop: Hop, axis: AxisId): Leaf | undefined {
  const cell = hop.reported[axis];
  const name = `${spoken(AXIS_NAMES[axis])} that tasters report of ${hop.name}`;
  return cell && rowLeaf(`cell/${hop.id}/reported/${axis}`, name, 'signal L/g', cell, null);
}

/** The name under which a world looks up the reported signal of a lot on an axis. */
export const reportedName = (axis: AxisId) => `reported.${axis}`;
const REPORTED = new Map(AXES.map((axis) => [reportedName(axis), axis]));

/** The axis that such a name stands for; `undefined` for the name of any other figure of a lot. */
export function reportedAxis(name: string): AxisId | undefined {
  return REPORTED.get(name);
}

/** Names of figures that a world may set for a lot although no analysis states them. */
export const SH3_BY_CLASS = 'g_sh3_by_class';
export const CYS_SHARE = 'cys_share';

const made = new WeakMap<Lot, Map<string, Leaf | null>>();

function ofLot(lot: Lot, name: string, make: () => Leaf | null): Leaf | null {
  let known = made.get(lot);
  if (!known) made.set(lot, (known = new Map()));
  let leaf = known.get(name);
  if (leaf === undefined) {
    const found = make();
    leaf = found && { ...found, input: { of: lot, name } };
    known.set(name, leaf);
  }
  return leaf;
}

/** Whether a figure was measured on the product itself, so that no form factor applies. */
export function isOwn(lot: Lot, analyte: AnalyteId): boolean {
  return lot.figures[analyte]?.perProduct ?? false;
}

/** A figure of a lot as a term; `null` where nobody gave it. */
export function figureOf(model: Model, lot: Lot, analyte: AnalyteId): Leaf | null {
  return ofLot(lot, analyte, () => {
    const figure = lot.figures[analyte];
    if (!figure) return null;
    const hop = findHop(model, lot.hop);
    const name = `${analyteName(analyte)} of ${lot.hop}`;
    const unit = analyteUnit(analyte);
    if (figure.status === 'analysis') {
      return rowLeaf(`input/analysis/${lot.hop}/${analyte}`, name, unit, figure, null);
    }
    const cell = hop && cellLeaf(hop, analyte);
    if (cell) return { ...cell, value: figure.central };
    const estimator = model.estimators.find((e) => e.analyte === analyte);
    return rowLeaf(`estimator/${estimator?.id ?? analyte}`, name, unit, figure, null);
  });
}

/** A figure of a lot that is only compared with others: its evidence status does not count. */
export function unjudgedFigure(model: Model, lot: Lot, analyte: AnalyteId): Leaf {
  const key = `unjudged ${analyte}`;
  const known = made.get(lot)?.get(key);
  if (known) return known;
  const leaf = { ...figureOf(model, lot, analyte)!, judged: null };
  made.get(lot)!.set(key, leaf);
  return leaf;
}

/** Bound 3SH of a lot, mg/kg: as measured, else by the class of the variety. */
export function boundSh3(model: Model, lot: Lot): Leaf {
  const measured = figureOf(model, lot, 'g_sh3_mg_per_kg');
  if (measured) return measured;
  return ofLot(lot, SH3_BY_CLASS, () => {
    const hop = findHop(model, lot.hop);
    return hop && hop.precursor.tendency === lot.tendency
      ? classLeaf(model, hop)
      : parameter(model, `precursor.g_sh3.${lot.tendency}`);
  })!;
}

/** Ratio of cysteinylated to glutathionylated 3SH of a lot, used where it was not measured. */
export function cysShare(model: Model, lot: Lot): Leaf {
  return ofLot(lot, CYS_SHARE, () => parameter(model, 'precursor.cys_share'))!;
}

/** The figures that say how a lot was kept, with their units. */
const STORAGE_UNITS = {
  months: 'months',
  temp_c: 'C',
  storage_index: '-',
  months_since_analysis: 'months',
} as const;

/** A figure that says how a lot was kept; `null` where it is not given. */
export function storageLeaf(
  lot: Lot,
  field: keyof typeof STORAGE_UNITS,
  name: string,
): Leaf | null {
  const value = lot.storage?.[field];
  return ofLot(lot, `storage.${field}`, () =>
    value === undefined
      ? null
      : given<string>(`storage.${field}`, value, name, STORAGE_UNITS[field]),
  );
}

/**
 * The reported signal of a lot on an axis; `null` where no taster named the note, or where the document asks
 * for compounds alone.
 */
export function reportedOf(model: Model, lot: Lot, axis: AxisId): Leaf | null {
  if (!model.reports) return null;
  return ofLot(lot, reportedName(axis), () => {
    const hop = lot.reported[axis] && findHop(model, lot.hop);
    return (hop && reportedLeaf(hop, axis)) ?? null;
  });
}

/**
 * Alpha acids that the lot's variety keeps in 6 months at room temperature, % of the fresh ones; `null` where
 * not known.
 */
export function keepingOf(model: Model, lot: Lot): Leaf | null {
  return ofLot(lot, 'keeping', () => {
    const hop = lot.keeping && findHop(model, lot.hop);
    return (hop && keepingLeaf(hop)) ?? null;
  });
}

/** A function that gives the central value of one figure of any lot, by the name a world looks it up by. */
export function centralFigure(model: Model, name: string): (lot: Lot) => number {
  if (name === SH3_BY_CLASS) {
    return ({ tendency }) => model.parameters[`precursor.g_sh3.${tendency}`].central;
  }
  if (name === CYS_SHARE) return () => model.parameters['precursor.cys_share'].central;
  if (name === 'keeping') return ({ keeping }) => keeping!.central;
  const axis = reportedAxis(name);
  if (axis) return ({ reported }) => reported[axis]!.central;
  const [kind, field] = name.split('.');
  if (kind === 'storage') return ({ storage }) => storage![field as 'months']!;
  return ({ figures }) => figures[name as AnalyteId]!.central;
}
