// Rows of the tables of evidence as a model gives them, the published one or one with own tables: thresholds,
// weights of notes, sources with what cites them, and the shares of figures by status.
import { OWN_SCHOOLS, REQUIRED_ANALYTES, STATUSES, type Status } from '#shared/ids.ts';
import type { Source, Threshold } from '#shared/schemas/tables.ts';
import { AXIS_NAMES, SCHOOL_NAMES } from '#shared/words.ts';
import type { Model } from '#engine/tables/model.ts';
import type { EvidenceColumn, EvidenceRow, StatusShares } from './evidence-list.ts';

export const column = (
  key: string,
  name: string,
  as: EvidenceColumn['as'] = 'words',
): EvidenceColumn => ({ key, name, as });
export const RANGE = [
  column('low', 'Low', 'figure'),
  column('default', 'Default', 'figure'),
  column('high', 'High', 'figure'),
];
export const GROUND = [
  column('status', 'Status', 'status'),
  column('sources', 'Sources', 'sources'),
];
export const NOTE = column('note', 'Note');

/** A figure that names sources. */
interface Sourced {
  readonly status: Status;
  readonly sources: readonly string[];
}

const thresholdsOf = ({ compounds }: Model): Threshold[] =>
  Object.values(compounds).flatMap((c) => [
    ...(c.threshold ? [c.threshold] : []),
    ...OWN_SCHOOLS.flatMap((school) => c.schools[school] ?? []),
  ]);
const cellsOf = ({ hops }: Model) => hops.flatMap((hop) => Object.values(hop.cells));

function thresholdRow(id: string, name: string, school: string, t: Threshold | null): EvidenceRow {
  const figures = t
    ? [t.low, t.central, t.high, t.matrix, t.status, t.sources, t.note]
    : [null, null, null, null, null, [], 'no threshold in beer is known: no odour activity value'];
  return { id, statuses: t ? [t.status] : [], values: [name, school, ...figures] };
}

export function thresholdRows({ compounds }: Model): EvidenceRow[] {
  return Object.values(compounds).flatMap((c) => [
    thresholdRow(c.id, c.name, SCHOOL_NAMES.middle, c.threshold),
    ...OWN_SCHOOLS.flatMap((school) => {
      const own = c.schools[school];
      return own ? [thresholdRow(`${c.id}/${school}`, c.name, SCHOOL_NAMES[school], own)] : [];
    }),
  ]);
}

export function weightRows({ compounds, descriptors, weights }: Model): EvidenceRow[] {
  const names = new Map(Object.values(compounds).map(({ id, name }) => [id as string, name]));
  return weights.map(({ driver, axis, weight, standIn }) => {
    const notes = descriptors.filter((d) => d.driver === driver && d.axis === axis);
    const best = notes.reduce((a, b) => (b.rank < a.rank ? b : a));
    return {
      id: `${axis}/${driver}`,
      statuses: [best.status],
      values: [
        names.get(driver) ?? driver,
        AXIS_NAMES[axis],
        weight,
        notes.map(({ descriptor }) => descriptor).join(', '),
        standIn ? 'yes' : 'no',
        best.status,
        [...new Set(notes.flatMap((d) => d.sources))],
      ],
    };
  });
}

/** Each source with the figures of the model that cite it. */
export function sourceRowsOf(sources: readonly Source[], model: Model): EvidenceRow[] {
  const figures: readonly Sourced[] = [
    ...Object.values(model.parameters),
    ...thresholdsOf(model),
    ...model.descriptors,
    ...cellsOf(model),
  ];
  return sources.map(({ id, authors, year, title, where, locator, read }) => {
    const citing = figures.filter((figure) => figure.sources.includes(id));
    return {
      id,
      statuses: STATUSES.filter((s) => citing.some(({ status }) => status === s)),
      values: [title, authors, year, where, locator, read, citing.length],
    };
  });
}

function shares(name: string, of: readonly { readonly status: Status }[]): StatusShares {
  const entries = STATUSES.map((s) => [s, of.filter(({ status }) => status === s).length]);
  return { name, statuses: Object.fromEntries(entries) as Record<Status, number> };
}

export function statusShares(model: Model): StatusShares[] {
  const offered = model.hops.filter((hop) => hop.missing.length === 0);
  return [
    shares(
      `The ${REQUIRED_ANALYTES.length} figures that decide, of ${offered.length} hops to design with`,
      offered.flatMap((hop) => REQUIRED_ANALYTES.map((analyte) => hop.cells[analyte]!)),
    ),
    shares(`All figures of ${model.hops.length} hops`, cellsOf(model)),
    shares('Process parameters', Object.values(model.parameters)),
    shares('Odour thresholds', thresholdsOf(model)),
    shares('Descriptors', model.descriptors),
  ];
}
