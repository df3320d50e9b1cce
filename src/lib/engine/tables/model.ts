// The tables as the engine sees them: typed, indexed, complete. The engine's only import
// of data/.
import compoundRows from '#data/generated/compounds.json' with { type: 'json' };
import descriptorRows from '#data/generated/descriptors.json' with { type: 'json' };
import estimatorRows from '#data/generated/estimators.json' with { type: 'json' };
import hopRows from '#data/generated/hops.json' with { type: 'json' };
import parameterRows from '#data/generated/parameters.json' with { type: 'json' };
import { axisWeights } from '#shared/evidence/axis-weights.ts';
import type { Estimator } from '#shared/evidence/estimate.ts';
import {
  COMPOUNDS,
  type CompoundId,
  type FormId,
  type SchoolId,
  type Status,
} from '#shared/ids.ts';
import { nameKey } from '#shared/name-key.ts';
import type { Learned } from '#shared/schemas/learned.ts';
import type { AxisWeight, Compound, Descriptor, Hop, Parameter } from '#shared/schemas/tables.ts';

export type ParameterId = keyof typeof parameterRows;
/** A value for every process parameter, in the unit of its row. */
export type ParameterValues = Readonly<Record<ParameterId, number>>;

export interface Model {
  /** Whose odour thresholds stand in `compounds`. */
  readonly school: SchoolId;
  /** The model from which this one differs only in its thresholds and in what tasters report. */
  readonly middle?: Model;
  /** What was learned from tastings, where the rows include it. */
  readonly learned?: Learned;
  /** The model from which it was learned. */
  readonly plain?: Model;
  /** Whether what tasters report of varieties counts beside their compounds. */
  readonly reports: boolean;
  readonly hops: readonly Hop[];
  readonly compounds: Readonly<Record<CompoundId, Compound>>;
  readonly parameters: Readonly<Record<ParameterId, Parameter>>;
  /** What drivers smell of; the weights follow from it. */
  readonly descriptors: readonly Descriptor[];
  readonly weights: readonly AxisWeight[];
  /**
   * Prices per kg from own tables, by hop and form (`priceKey`); each holds where neither lot nor brief gives a
   * price.
   */
  readonly prices?: ReadonlyMap<string, number>;
  /** Ids of the rows that came from own tables, as leaves carry them. */
  readonly own?: readonly string[];
  /**
   * Estimators for a lot whose variety is not in the table; where several regions have one, the most cautious.
   */
  readonly estimators: readonly Estimator[];
}

const compounds = Object.fromEntries((compoundRows as Compound[]).map((c) => [c.id, c])) as Record<
  CompoundId,
  Compound
>;

const descriptors = descriptorRows as Descriptor[];

/** The published table and parameters of this build. */
export const model: Model = {
  school: 'middle',
  reports: true,
  hops: hopRows as unknown as Hop[],
  compounds,
  parameters: parameterRows as Record<ParameterId, Parameter>,
  descriptors,
  weights: axisWeights(descriptors),
  estimators: (estimatorRows as Estimator[]).filter(({ appliesTo }) =>
    ['all', 'elsewhere'].includes(appliesTo),
  ),
};

const others = new WeakMap<Model, Map<string, Model>>();

/** The ways in which a document may ask for its aroma to be judged. */
export interface Judging {
  readonly thresholds?: SchoolId | undefined;
  readonly compounds_only?: boolean | undefined;
}

/**
 * The model with the odour thresholds a document asks for, and without what tasters report where it asks for
 * compounds alone. The model itself where the document asks for neither. A compound for which the school has no
 * figure keeps the middle threshold. What was learned from tastings holds under one such judgement only and
 * does not count under another.
 */
export function modelFor(of: Model, { thresholds, compounds_only: only }: Judging): Model {
  const school = thresholds ?? of.school;
  const reports = only === undefined ? of.reports : !only;
  if (school === of.school && reports === of.reports) return of;
  if (of.plain) return modelFor(of.plain, { thresholds: school, compounds_only: !reports });
  const base = of.middle ?? of;
  if (school === base.school && reports === base.reports) return base;
  const known = others.get(base) ?? new Map<string, Model>();
  others.set(base, known);
  const key = `${school} ${reports}`;
  let other = known.get(key);
  if (!other) {
    const entries = COMPOUNDS.map((c) => {
      const compound = base.compounds[c];
      const own = school === 'middle' ? undefined : compound.schools[school];
      return [c, { ...compound, threshold: own ?? compound.threshold }];
    });
    const own = Object.fromEntries(entries) as Record<CompoundId, Compound>;
    other = { ...base, school, reports, middle: base, compounds: own };
    known.set(key, other);
  }
  return other;
}

/** Compounds for which the school of the model has no threshold: they keep the middle one. */
export function withoutOwnThreshold({ school, compounds: of }: Model): CompoundId[] {
  if (school === 'middle') return [];
  return COMPOUNDS.filter((c) => of[c].threshold !== null && !of[c].schools[school]);
}

/** The key of a price in own tables: hop and form. */
export function priceKey(hop: string, form: FormId): string {
  return `${nameKey(hop)}|${form}`;
}

const defaults = new WeakMap<Model['parameters'], ParameterValues>();

/** Every parameter at its default. */
export function defaultValues({ parameters }: Model): ParameterValues {
  let values = defaults.get(parameters);
  if (!values) {
    const entries = Object.entries(parameters).map(([id, row]) => [id, row.central]);
    values = Object.fromEntries(entries) as ParameterValues;
    defaults.set(parameters, values);
  }
  return values;
}

/** Status of a parameter row; one whose size is an engineering choice is an estimate. */
export function parameterStatus({ status, note }: Parameter): Status {
  return note.startsWith('ASSUMPTION') ? 'estimated' : status;
}
