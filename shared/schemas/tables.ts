// The shape of everything under data/: what a row must hold before it may enter the product.
// The data build checks every table against these; at run time only the inferred types are used.
import type { Interval } from '#shared/interval.ts';
import { z } from '#shared/zod.ts';
import {
  AXES,
  COMPOUNDS,
  FORMS,
  OWN_SCHOOLS,
  STATUSES,
  TENDENCIES,
  THIOL_CLASSES,
  type AnalyteId,
  type AxisId,
  type CompoundId,
} from '#shared/ids.ts';

const ordered = (i: { low: number; central: number; high: number }) =>
  i.low <= i.central && i.central <= i.high;
const sourceIds = z.array(z.string().check(z.minLength(1))).check(z.minLength(1));

/** A figure of the hop table. Unit: see the analyte id it stands under. */
export const cellSchema = z
  .object({
    low: z.number().check(z.nonnegative()),
    central: z.number().check(z.nonnegative()),
    high: z.number().check(z.nonnegative()),
    status: z.enum(STATUSES),
    sources: sourceIds,
    /** How an estimated cell was made; the id of a row of estimates.csv. */
    estimate: z.optional(z.string()),
  })
  .check(z.refine(ordered, 'low <= central <= high does not hold'));
export type Cell = z.infer<typeof cellSchema>;

/** One variety of the hop table. Figures are per type 90 pellet or sound cone, as harvested. */
export const hopSchema = z.object({
  id: z.string().check(z.regex(/^[a-z0-9]+(-[a-z0-9]+)*$/)),
  name: z.string().check(z.minLength(1)),
  origin: z.nullable(z.string()),
  originStatus: z.nullable(z.enum(STATUSES)),
  cells: z.record(z.string(), cellSchema),
  precursor: z.object({
    tendency: z.enum(TENDENCIES),
    status: z.enum(STATUSES),
    sources: z.array(z.string()),
    note: z.string(),
  }),
  thiolClass: z.enum(THIOL_CLASSES),
  /** Alpha acids left after 6 months at room temperature, % of the fresh; `null`: not known. */
  keeping: z.nullable(cellSchema),
  /**
   * What tasters report of the variety beyond what its compounds explain, by axis: signal that 1 g/L of
   * type 90 brings, before the stage takes its share. Absent where nobody named the note.
   */
  reported: z.partialRecord(z.enum(AXES), cellSchema),
  forms: z.array(z.enum(FORMS)).check(z.minLength(1)),
  /** Names of the figures that are missing and keep the hop out of the optimizer; empty if offered. */
  missing: z.array(z.string()),
});
export type Hop = Omit<z.infer<typeof hopSchema>, 'cells' | 'missing'> & {
  cells: Partial<Record<AnalyteId, Cell>>;
  missing: AnalyteId[];
};

export const TRANSFER_CLASSES = [
  'linalool',
  'geraniol',
  'citronellol',
  'nerol',
  'ester',
  'geranyl_acetate',
  'undecanone',
  'myrcene',
  'monoterpene',
  'sesquiterpene',
  'epoxide',
  'thiol',
] as const;
export type TransferClass = (typeof TRANSFER_CLASSES)[number];
export const BOIL_CLASSES = [
  'linalool',
  'alcohol',
  'ester',
  'myrcene',
  'sesquiterpene',
  'epoxide',
  'msp4',
  'sh3',
] as const;
export type BoilClass = (typeof BOIL_CLASSES)[number];
export const FERMENT_CLASSES = [
  'linalool',
  'geraniol',
  'ester',
  'myrcene',
  'sesquiterpene',
  'thiol',
] as const;
/** Groups whose dry-hop yield falls alike with the total dry-hop load. */
export const LOAD_GROUPS = ['oxygenate', 'intermediate', 'hydrocarbon'] as const;
export type LoadGroup = (typeof LOAD_GROUPS)[number];

export const thresholdSchema = z
  .object({
    /** ug/L */
    low: z.number().check(z.positive()),
    central: z.number().check(z.positive()),
    high: z.number().check(z.positive()),
    matrix: z.string().check(z.minLength(1)),
    status: z.enum(STATUSES),
    sources: sourceIds,
    note: z.string(),
  })
  .check(z.refine(ordered, 'low <= central <= high does not hold'));

/** One aroma compound: identity, odour threshold, and which parameter rows move it. */
export const compoundSchema = z.object({
  id: z.enum(COMPOUNDS),
  name: z.string().check(z.minLength(1)),
  /** g/mol */
  molarMass: z.number().check(z.positive()),
  transferClass: z.enum(TRANSFER_CLASSES),
  boilClass: z.enum(BOIL_CLASSES),
  fermentClass: z.enum(FERMENT_CLASSES),
  loadGroup: z.enum(LOAD_GROUPS),
  /** Whether the hot-steep yield counts to the wort (fermentation still to come) or to the beer. */
  steepYieldTo: z.enum(['wort', 'beer']),
  /** `null` where no threshold in beer was found: then there is no OAV and no axis weight. */
  threshold: z.nullable(thresholdSchema),
  /** The figures of one school alone; a school without one uses the middle. */
  schools: z.partialRecord(z.enum(OWN_SCHOOLS), thresholdSchema),
  note: z.string(),
});
/** An odour threshold in ug/L. */
export type Threshold = z.infer<typeof thresholdSchema>;
export type Compound = z.infer<typeof compoundSchema>;

/** What a driver adds to an axis. The weight follows from the rank of the reported descriptor. */
export const descriptorSchema = z.object({
  /** A compound id, or `leaf` for the stand-in driver of `grassy`. */
  driver: z.enum([...COMPOUNDS, 'leaf']),
  descriptor: z.string().check(z.minLength(1)),
  rank: z.int().check(z.minimum(1), z.maximum(4)),
  /** `null`: the note belongs to no axis of ours. */
  axis: z.nullable(z.enum(AXES)),
  standIn: z.boolean(),
  status: z.enum(STATUSES),
  sources: sourceIds,
});
export type Descriptor = z.infer<typeof descriptorSchema>;

/** A process parameter: everything the equations need besides composition. */
export const parameterSchema = z
  .object({
    id: z.string().check(z.minLength(1)),
    label: z.string().check(z.minLength(1)),
    low: z.number(),
    central: z.number(),
    high: z.number(),
    unit: z.string().check(z.minLength(1)),
    /** Part of a definition: fixed, not sampled when the band is drawn. */
    fixed: z.boolean(),
    status: z.enum(STATUSES),
    sources: sourceIds,
    note: z.string(),
  })
  .check(z.refine(ordered, 'low <= default <= high does not hold'));
export type Parameter = z.infer<typeof parameterSchema>;

export const sourceSchema = z.object({
  id: z.string().check(z.minLength(1)),
  authors: z.string(),
  year: z.string(),
  title: z.string().check(z.minLength(1)),
  where: z.string(),
  locator: z.string(),
  /** How much of it was really read; says so when nothing was. */
  read: z.string().check(z.minLength(1)),
});
export type Source = z.infer<typeof sourceSchema>;

/** Weight of a driver on an axis, 0 to 1. */
export interface AxisWeight {
  readonly driver: CompoundId | 'leaf';
  readonly axis: AxisId;
  readonly weight: number;
  /** Its range where it was learned; otherwise a rule gives it. */
  readonly range?: Interval;
  readonly standIn: boolean;
}
