// The tables as the engine sees them: typed, indexed, complete. The engine's only import
// of data/.
import compoundRows from '#data/generated/compounds.json' with { type: 'json' };
import descriptorRows from '#data/generated/descriptors.json' with { type: 'json' };
import estimatorRows from '#data/generated/estimators.json' with { type: 'json' };
import hopRows from '#data/generated/hops.json' with { type: 'json' };
import parameterRows from '#data/generated/parameters.json' with { type: 'json' };
import type { Estimator } from '#shared/evidence/estimate.ts';
import { AXES, COMPOUNDS, type CompoundId, type SchoolId, type Status } from '#shared/ids.ts';
import type { AxisWeight, Compound, Descriptor, Hop, Parameter } from '#shared/schemas/tables.ts';

export type ParameterId = keyof typeof parameterRows;
/** A value for every process parameter, in the unit of its row. */
export type ParameterValues = Readonly<Record<ParameterId, number>>;

export interface Model {
  /** Whose odour thresholds `compounds` hold. */
  readonly school: SchoolId;
  /** The model this one differs from in its thresholds only. */
  readonly middle?: Model;
  readonly hops: readonly Hop[];
  readonly compounds: Readonly<Record<CompoundId, Compound>>;
  readonly parameters: Readonly<Record<ParameterId, Parameter>>;
  readonly weights: readonly AxisWeight[];
  /** Estimators for a lot of no known variety, most cautious region. */
  readonly estimators: readonly Estimator[];
}

/**
 * Weight of a driver on an axis by the rank of its best descriptor there: first-named note 1,
 * second 1/2, third 1/4, and 1/10 for a note reported only when the compound is strong.
 * An engineering rule of this project: no opened source gives weights.
 */
const RANK_WEIGHT: Readonly<Record<number, number>> = { 1: 1, 2: 0.5, 3: 0.25, 4: 0.1 };

/** One weight per driver and axis: the strongest of its descriptors there. */
export function axisWeights(descriptors: readonly Descriptor[]): AxisWeight[] {
  const best = new Map<string, AxisWeight>();
  for (const { driver, axis, rank, standIn } of descriptors) {
    if (axis === null) continue;
    const weight = RANK_WEIGHT[rank]!;
    const key = `${driver} ${axis}`;
    if ((best.get(key)?.weight ?? 0) < weight) best.set(key, { driver, axis, weight, standIn });
  }
  return [...best.values()].sort(
    (a, b) => AXES.indexOf(a.axis) - AXES.indexOf(b.axis) || a.driver.localeCompare(b.driver),
  );
}

const compounds = Object.fromEntries((compoundRows as Compound[]).map((c) => [c.id, c])) as Record<
  CompoundId,
  Compound
>;

/** The published table and parameters of this build. */
export const model: Model = {
  school: 'middle',
  hops: hopRows as unknown as Hop[],
  compounds,
  parameters: parameterRows as Record<ParameterId, Parameter>,
  weights: axisWeights(descriptorRows as Descriptor[]),
  estimators: (estimatorRows as Estimator[]).filter(({ appliesTo }) =>
    ['all', 'elsewhere'].includes(appliesTo),
  ),
};

const otherSchools = new WeakMap<Model, Map<SchoolId, Model>>();

/**
 * The model with the odour thresholds a document asks for. A document that asks for none leaves the
 * model as it is; a compound for which the school has no figure keeps the middle.
 */
export function modelFor(
  of: Model,
  { thresholds: school }: { readonly thresholds?: SchoolId | undefined },
): Model {
  if (school === undefined || school === of.school) return of;
  const base = of.middle ?? of;
  if (school === 'middle') return base;
  const known = otherSchools.get(base) ?? new Map<SchoolId, Model>();
  otherSchools.set(base, known);
  let other = known.get(school);
  if (!other) {
    const entries = COMPOUNDS.map((c) => {
      const compound = base.compounds[c];
      return [c, { ...compound, threshold: compound.schools[school] ?? compound.threshold }];
    });
    const own = Object.fromEntries(entries) as Record<CompoundId, Compound>;
    other = { ...base, school, middle: base, compounds: own };
    known.set(school, other);
  }
  return other;
}

/** Compounds with a threshold for which the school of a model has no figure: they keep the middle. */
export function withoutOwnThreshold({ school, compounds: of }: Model): CompoundId[] {
  if (school === 'middle') return [];
  return COMPOUNDS.filter((c) => of[c].threshold !== null && !of[c].schools[school]);
}

/** Every parameter at its default. */
export function defaultValues(of: Model): ParameterValues {
  const entries = Object.entries(of.parameters).map(([id, row]) => [id, row.central]);
  return Object.fromEntries(entries) as Record<ParameterId, number>;
}

/** Status of a parameter row; one whose size is an engineering choice is an estimate. */
export function parameterStatus({ status, note }: Parameter): Status {
  return note.startsWith('ASSUMPTION') ? 'estimated' : status;
}
