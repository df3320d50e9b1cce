// The columns of every table under data/: how a cell's text becomes a value. The meaning of the
// result (ranges, closed lists) is checked against shared/schemas/tables.ts as well.
import { z } from 'zod';
import { COMPOUNDS, STATUSES } from '#shared/ids.ts';
import {
  BOIL_CLASSES,
  FERMENT_CLASSES,
  LOAD_GROUPS,
  TRANSFER_CLASSES,
  type Compound,
  type Descriptor,
  type Parameter,
} from '#shared/schemas/tables.ts';
import { AXES } from '#shared/ids.ts';

const DECIMAL = /^-?\d+(\.\d+)?(e-?\d+)?$/;
const oneOf = <const T extends readonly string[]>(list: T) =>
  z.enum(list as unknown as { [K in T[number]]: K }, `Write one of: ${list.join(', ')}`);
const text = z.string();
const words = z.string().min(1, 'Fill the cell');
const numeric = z
  .string()
  .regex(DECIMAL, 'Write a decimal number with a point, such as 0.35')
  .transform(Number);
const numericOrEmpty = z
  .string()
  .regex(/^$|^-?\d+(\.\d+)?(e-?\d+)?$/, 'Write a decimal number with a point, or leave it empty')
  .transform((s) => (s === '' ? undefined : Number(s)));
/** `A+B` becomes ['A', 'B']; empty becomes []. */
const idsOrEmpty = z.string().transform((s) => (s === '' ? [] : s.split('+')));
const ids = words.transform((s) => s.split('+'));
const flag = oneOf(['yes', 'no']).transform((s) => s === 'yes');
const status = oneOf(STATUSES);

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
  threshold_status: oneOf(['', ...STATUSES]),
  threshold_sources: idsOrEmpty,
  threshold_note: text,
  note: text,
});

export function toCompound(row: z.output<typeof compoundRow>): Compound {
  const { threshold_low: low, threshold: central, threshold_high: high } = row;
  const known = low !== undefined && central !== undefined && high !== undefined;
  return {
    id: row.id,
    name: row.name,
    molarMass: row.molar_mass,
    transferClass: row.transfer_class,
    boilClass: row.boil_class,
    fermentClass: row.ferment_class,
    loadGroup: row.load_group,
    steepYieldTo: row.steep_yield_to,
    threshold:
      known && row.threshold_status !== ''
        ? {
            low,
            central,
            high,
            matrix: row.threshold_matrix,
            status: row.threshold_status,
            sources: row.threshold_sources,
            note: row.threshold_note,
          }
        : null,
    note: known ? row.note : [row.threshold_note, row.note].filter((s) => s !== '').join('; '),
  };
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
  return {
    driver: row.driver,
    descriptor: row.descriptor,
    rank: row.rank,
    axis: row.axis === '' ? null : row.axis,
    standIn: row.stand_in,
    status: row.status,
    sources: row.sources,
  };
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
  const { id, label, low, high, unit, fixed, status, sources, note } = row;
  return { id, label, low, central: row.default, high, unit, fixed, status, sources, note };
}
