// The columns of every table, under data/ and of a person's own: how the text of a cell becomes a value. What a row means
// for the product (ranges, closed lists) is checked against shared/schemas/tables.ts as well.
import { z } from '#shared/zod.ts';
import { AXES, COMPOUNDS, FORMS, OWN_SCHOOLS, TABLE_STATUSES, TENDENCIES } from '#shared/ids.ts';
import {
  BOIL_CLASSES,
  FERMENT_CLASSES,
  LOAD_GROUPS,
  TRANSFER_CLASSES,
  type Compound,
  type Descriptor,
  type Parameter,
  type Source,
  type Threshold,
} from '#shared/schemas/tables.ts';

const oneOf = <const T extends readonly string[]>(list: T) =>
  z.enum(list, `Write one of: ${list.join(', ')}`);
const text = z.string();
const words = z.string().check(z.minLength(1, 'Fill the cell'));
export const numeric = z.pipe(
  z
    .string()
    .check(
      z.regex(/^-?\d+(\.\d+)?(e-?\d+)?$/, 'Write a decimal number with a point, such as 0.35'),
    ),
  z.transform(Number),
);
export const numericOrEmpty = z.pipe(
  z
    .string()
    .check(
      z.regex(
        /^(-?\d+(\.\d+)?(e-?\d+)?)?$/,
        'Write a decimal number with a point, or leave it empty',
      ),
    ),
  z.transform((s) => (s === '' ? undefined : Number(s))),
);
/** `A+B` becomes ['A', 'B']; empty becomes []. */
export const ids = z.pipe(
  words,
  z.transform((s) => s.split('+')),
);
export const idsOrEmpty = z.pipe(
  z.string(),
  z.transform((s) => (s === '' ? [] : s.split('+'))),
);
export const flag = z.pipe(
  oneOf(['yes', 'no']),
  z.transform((s) => s === 'yes'),
);
const status = oneOf(TABLE_STATUSES);
const statusOrEmpty = oneOf(['', ...TABLE_STATUSES]);

export const compoundRow = z.object({
  id: oneOf(COMPOUNDS),
  name: words,
  molar_mass: numeric,
  transfer_class: oneOf(TRANSFER_CLASSES),
  boil_class: oneOf(BOIL_CLASSES),
  ferment_class: oneOf(FERMENT_CLASSES),
  load_group: oneOf(LOAD_GROUPS),
  steep_yield_to: oneOf(['wort', 'beer']),
  threshold_low: numericOrEmpty,
  threshold: numericOrEmpty,
  threshold_high: numericOrEmpty,
  threshold_matrix: text,
  threshold_status: statusOrEmpty,
  threshold_sources: idsOrEmpty,
  threshold_note: text,
  note: text,
});

export const thresholdRow = z.object({
  compound: oneOf(COMPOUNDS),
  school: oneOf(OWN_SCHOOLS),
  low: numeric,
  threshold: numeric,
  high: numeric,
  matrix: words,
  status,
  sources: ids,
  note: text,
});
export type ThresholdRow = z.output<typeof thresholdRow>;

export function toThreshold(row: ThresholdRow): Threshold {
  const { low, threshold: central, high, matrix, status, sources, note } = row;
  return { low, central, high, matrix, status, sources, note };
}

/** No threshold at all is allowed; half of one is not, and is left for the schema to refuse. */
export function toCompound(
  row: z.output<typeof compoundRow>,
  schools: Compound['schools'],
): unknown {
  const { threshold_low: low, threshold: central, threshold_high: high } = row;
  const known = [low, central, high].some((figure) => figure !== undefined);
  const compound: Omit<Compound, 'threshold'> = {
    id: row.id,
    name: row.name,
    molarMass: row.molar_mass,
    transferClass: row.transfer_class,
    boilClass: row.boil_class,
    fermentClass: row.ferment_class,
    loadGroup: row.load_group,
    steepYieldTo: row.steep_yield_to,
    schools,
    note: known ? row.note : [row.threshold_note, row.note].filter((s) => s !== '').join('; '),
  };
  const threshold = {
    low,
    central,
    high,
    matrix: row.threshold_matrix,
    status: row.threshold_status,
    sources: row.threshold_sources,
    note: row.threshold_note,
  };
  return { ...compound, threshold: known ? threshold : null };
}

export const descriptorRow = z.object({
  driver: oneOf([...COMPOUNDS, 'leaf']),
  descriptor: words,
  rank: numeric,
  axis: oneOf(['', ...AXES]),
  stand_in: flag,
  status,
  sources: ids,
});

export function toDescriptor(row: z.output<typeof descriptorRow>): Descriptor {
  const { driver, descriptor, rank, axis, stand_in: standIn, status, sources } = row;
  return { driver, descriptor, rank, axis: axis === '' ? null : axis, standIn, status, sources };
}

export const parameterRow = z.object({
  id: words,
  label: words,
  low: numeric,
  default: numeric,
  high: numeric,
  unit: words,
  fixed: flag,
  status,
  sources: ids,
  note: text,
});

export function toParameter(row: z.output<typeof parameterRow>): Parameter {
  const { id, label, low, default: central, high, unit, fixed, status, sources, note } = row;
  return { id, label, low, central, high, unit, fixed, status, sources, note };
}

/** A and B: papers and institutes; C and D: handbooks and journalism; M: recalled. */
export const TIERS = ['A', 'B', 'C', 'D', 'M'] as const;
export type Tier = (typeof TIERS)[number];

export const sourceRow = z.object({
  id: words,
  /** How far its hop figures are trusted; empty for a source that gives none. */
  tier: oneOf(['', ...TIERS]),
  authors: words,
  year: words,
  title: words,
  where: words,
  locator: words,
  read: words,
});
export type SourceRow = z.output<typeof sourceRow>;

export function toSource(row: SourceRow): Source {
  const { id, authors, year, title, where, locator, read } = row;
  return { id, authors, year, title, where, locator, read };
}

export const measurementRow = z.object({
  /** Name of a variety, or `GROUP ...` for a figure over several. */
  variety: words,
  analyte: words,
  value: numericOrEmpty,
  min: numericOrEmpty,
  max: numericOrEmpty,
  unit: words,
  basis: oneOf(['as-is', 'dry', 'n.s.']),
  crop_year: text,
  form: oneOf(['cone', 'pellet', 'pellet/cone n.s.', 'n.s.']),
  source_id: words,
  status: oneOf(['seen', 'derived', 'memory']),
  sample: text,
  method: oneOf(['', 'uv', 'hplc']),
  /** Why the figure stays out of every cell; empty if it does not. */
  exclude: text,
  note: text,
});
export type MeasurementRow = z.output<typeof measurementRow>;

/** Who says what a variety smells of; panels are trusted most. */
export const REPORT_KINDS = ['panel', 'handbook', 'breeder', 'memory'] as const;

/** One word said of a variety; words of a source stand in the order in which it names them. */
export const sensoryRow = z.object({
  variety: words,
  word: words,
  kind: oneOf(REPORT_KINDS),
  source_id: words,
  status: oneOf(['seen', 'memory']),
  note: text,
});
export type SensoryRow = z.output<typeof sensoryRow>;

/** The axis a word belongs to; empty where none of ours fits. */
export const wordRow = z.object({ word: words, axis: oneOf(['', ...AXES]), note: text });
export type WordRow = z.output<typeof wordRow>;

export const varietyRow = z.object({
  id: words,
  name: words,
  /** Two letters for the country, then the breeder by kind; empty where not known. */
  origin: text,
  origin_status: statusOrEmpty,
  origin_sources: idsOrEmpty,
  precursor: oneOf(TENDENCIES),
  precursor_status: status,
  precursor_sources: ids,
  precursor_note: text,
  forms: z.pipe(
    z.pipe(
      z.string(),
      z.transform((s) => s.split(';')),
    ),
    z.array(oneOf(FORMS)),
  ),
  forms_status: status,
  forms_sources: ids,
});
export type VarietyRow = z.output<typeof varietyRow>;

export const estimateRow = z.object({
  id: words,
  analyte: words,
  /** `all`, `europe`, `elsewhere`, or names of varieties joined by +. */
  applies_to: words,
  method: z
    .string()
    .check(
      z.regex(
        /^(least_error|pooled_median|stated|ratio:\w+)$/,
        'Write least_error, pooled_median, stated or ratio:<analyte>',
      ),
    ),
  /** For a ratio: the two measured analytes whose quotient it is, as `a/b`. */
  share_of: z
    .string()
    .check(z.regex(/^(\w+\/\w+)?$/, 'Write two analytes as a/b, or leave it empty')),
  low: numericOrEmpty,
  central: numericOrEmpty,
  high: numericOrEmpty,
  sources: ids,
  note: text,
});
export type EstimateRow = z.output<typeof estimateRow>;

/** What a hop costs in one form, where nobody gave a price beside it. */
export const priceRow = z.object({
  hop: words,
  form: oneOf(FORMS),
  price_per_kg: numeric,
  note: text,
});
