// Everything the predictions stand on, as tables: parameters, thresholds, descriptor weights,
// estimators, equations, sources, and the shares of figures by status. Built once, at build time;
// the page receives the rows alone.
import errorRows from '#data/generated/estimate-errors.json' with { type: 'json' };
import descriptorRows from '#data/generated/descriptors.json' with { type: 'json' };
import estimatorRows from '#data/generated/estimators.json' with { type: 'json' };
import sourceRows from '#data/generated/sources.json' with { type: 'json' };
import type { EstimateError } from '#shared/evidence/estimate-error.ts';
import type { Estimator } from '#shared/evidence/estimate.ts';
import { OWN_SCHOOLS, REQUIRED_ANALYTES, STATUSES, type Status } from '#shared/ids.ts';
import type { Descriptor, Source, Threshold } from '#shared/schemas/tables.ts';
import { AXIS_NAMES, SCHOOL_NAMES } from '#shared/words.ts';
import { chainOf, equationOf, equationsWith, parametersOf } from '#engine/evidence/equations.ts';
import { EQUATION_IDS } from '#engine/symbols/equation-ids.ts';
import { axisWeights } from '#shared/evidence/axis-weights.ts';
import { model, type ParameterId } from '#engine/tables/model.ts';
import type { EvidenceColumn, EvidenceRow, EvidenceTable } from './evidence-list.ts';

/** How many figures of a kind have each status. */
export interface StatusShares {
  readonly name: string;
  readonly statuses: Readonly<Record<Status, number>>;
}

const parameters = Object.values(model.parameters);
const compounds = Object.values(model.compounds);
const descriptors = descriptorRows as Descriptor[];
const sources = Object.values(sourceRows) as Source[];
const cells = model.hops.flatMap((hop) => Object.values(hop.cells));
const thresholds: readonly Threshold[] = compounds.flatMap((c) => [
  ...(c.threshold ? [c.threshold] : []),
  ...OWN_SCHOOLS.flatMap((school) => c.schools[school] ?? []),
]);

const column = (key: string, name: string, as: EvidenceColumn['as'] = 'words'): EvidenceColumn => ({
  key,
  name,
  as,
});
const RANGE = [
  column('low', 'Low', 'figure'),
  column('default', 'Default', 'figure'),
  column('high', 'High', 'figure'),
];
const GROUND = [column('status', 'Status', 'status'), column('sources', 'Sources', 'sources')];
const NOTE = column('note', 'Note');

const parameterTable: EvidenceTable = {
  kind: 'parameter',
  name: 'Process parameters',
  columns: [
    column('label', 'Parameter'),
    ...RANGE,
    column('unit', 'Unit'),
    ...GROUND,
    column('equations', 'Stands in', 'equations'),
    NOTE,
  ],
  rows: parameters.map((p) => ({
    id: p.id,
    statuses: [p.status],
    values: [
      p.label,
      p.low,
      p.central,
      p.high,
      p.unit,
      p.status,
      p.sources,
      equationsWith(p.id as ParameterId),
      p.note,
    ],
  })),
};

function thresholdRow(id: string, name: string, school: string, t: Threshold | null): EvidenceRow {
  const figures = t
    ? [t.low, t.central, t.high, t.matrix, t.status, t.sources, t.note]
    : [null, null, null, null, null, [], 'no threshold in beer is known: no odour activity value'];
  return { id, statuses: t ? [t.status] : [], values: [name, school, ...figures] };
}

const thresholdTable: EvidenceTable = {
  kind: 'threshold',
  name: 'Odour thresholds, µg/L',
  columns: [
    column('compound', 'Compound'),
    column('school', 'School'),
    ...RANGE,
    column('matrix', 'In'),
    ...GROUND,
    NOTE,
  ],
  rows: compounds.flatMap((c) => [
    thresholdRow(c.id, c.name, SCHOOL_NAMES.middle, c.threshold),
    ...OWN_SCHOOLS.flatMap((school) => {
      const own = c.schools[school];
      return own ? [thresholdRow(`${c.id}/${school}`, c.name, SCHOOL_NAMES[school], own)] : [];
    }),
  ]),
};

const driverName = (driver: string) =>
  driver === 'leaf' ? 'leaf' : compounds.find((c) => c.id === driver)!.name;

const weightTable: EvidenceTable = {
  kind: 'weight',
  name: 'Descriptor weights',
  columns: [
    column('driver', 'Driver'),
    column('axis', 'Axis'),
    column('weight', 'Weight', 'figure'),
    column('descriptors', 'Described as'),
    column('stand_in', 'Stands in for others'),
    ...GROUND,
  ],
  rows: axisWeights(descriptors).map(({ driver, axis, weight, standIn }) => {
    const told = descriptors.filter((d) => d.driver === driver && d.axis === axis);
    const best = told.reduce((a, b) => (b.rank < a.rank ? b : a));
    return {
      id: `${axis}/${driver}`,
      statuses: [best.status],
      values: [
        driverName(driver),
        AXIS_NAMES[axis],
        weight,
        told.map(({ descriptor }) => descriptor).join(', '),
        standIn ? 'yes' : 'no',
        best.status,
        [...new Set(told.flatMap((d) => d.sources))],
      ],
    };
  }),
};

/** The estimate as a product, as far as it leans on other figures. */
function leaning({ times, leanings }: Estimator): string {
  const powers = (leanings ?? []).map(
    ({ on, reference, power }) => `(${on}/${reference})^${power}`,
  );
  return [...(times ? [times] : []), ...powers].join(' · ');
}

const REGIONS: Readonly<Record<string, string>> = {
  all: 'all',
  europe: 'bred in Europe',
  elsewhere: 'bred elsewhere',
};

const estimatorTable: EvidenceTable = {
  kind: 'estimator',
  name: 'Estimators of missing hop figures, and their errors',
  columns: [
    column('analyte', 'Figure'),
    column('applies_to', 'Hops'),
    ...RANGE,
    column('times', 'Times', 'formula'),
    column('count', 'From', 'figure'),
    column('left_out', 'Left out', 'figure'),
    column('median_fold', 'Median error ×', 'figure'),
    column('fold_80', '80 % within ×', 'figure'),
    column('median_fold_read', 'Median error × of those read', 'figure'),
    column('coverage_90', 'Share in 90 % range', 'figure'),
    column('sources', 'Sources', 'sources'),
    NOTE,
  ],
  rows: (estimatorRows as Estimator[]).map((e) => {
    const errors = errorRows as EstimateError[];
    const error = errors.find(({ analyte }) => analyte === e.analyte);
    return {
      id: e.id,
      statuses: ['estimated'],
      values: [
        e.analyte.replaceAll('_', ' '),
        REGIONS[e.appliesTo] ?? e.appliesTo,
        e.low,
        e.central,
        e.high,
        leaning(e),
        e.count,
        error?.n ?? null,
        error?.medianFold ?? null,
        error?.fold80 ?? null,
        error?.medianFoldRead ?? null,
        error?.coverage90 ?? null,
        e.sources,
        error?.note ?? '',
      ],
    };
  }),
};

const equationTable: EvidenceTable = {
  kind: 'equation',
  name: 'Equations',
  columns: [
    column('gives', 'Gives'),
    column('formula', 'Formula', 'formula'),
    column('parameters', 'Parameters', 'parameters'),
    column('builds_on', 'Builds on', 'equations'),
    column('sources', 'Sources of its form', 'sources'),
  ],
  rows: EQUATION_IDS.map((id) => {
    const { gives, formulas, buildsOn, sources: of } = equationOf(id);
    const below = chainOf(id).flatMap(parametersOf);
    return {
      id,
      statuses: [...new Set(below.map((p) => model.parameters[p].status))],
      values: [gives, formulas.join('; '), parametersOf(id), buildsOn, of],
    };
  }),
};

/** Every figure that names sources. */
const sourced: readonly { readonly status: Status; readonly sources: readonly string[] }[] = [
  ...parameters,
  ...thresholds,
  ...descriptors,
  ...cells,
];

const sourceTable: EvidenceTable = {
  kind: 'source',
  name: 'Sources',
  columns: [
    column('title', 'Title'),
    column('authors', 'Authors'),
    column('year', 'Year'),
    column('where', 'In'),
    column('locator', 'Found at'),
    column('read', 'How much was read'),
    column('figures', 'Figures citing it', 'figure'),
  ],
  rows: sources.map(({ id, authors, year, title, where, locator, read }) => {
    const citing = sourced.filter((figure) => figure.sources.includes(id));
    return {
      id,
      statuses: STATUSES.filter((s) => citing.some(({ status }) => status === s)),
      values: [title, authors, year, where, locator, read, citing.length],
    };
  }),
};

export const EVIDENCE_TABLES: readonly EvidenceTable[] = [
  parameterTable,
  thresholdTable,
  weightTable,
  estimatorTable,
  equationTable,
  sourceTable,
];

function shares(name: string, of: readonly { readonly status: Status }[]): StatusShares {
  const entries = STATUSES.map((s) => [s, of.filter(({ status }) => status === s).length]);
  return { name, statuses: Object.fromEntries(entries) as Record<Status, number> };
}

const offered = model.hops.filter((hop) => hop.missing.length === 0);

export const STATUS_SHARES: readonly StatusShares[] = [
  shares(
    `The ${REQUIRED_ANALYTES.length} figures that decide, of ${offered.length} hops to design with`,
    offered.flatMap((hop) => REQUIRED_ANALYTES.map((analyte) => hop.cells[analyte]!)),
  ),
  shares(`All figures of ${model.hops.length} hops`, cells),
  shares(parameterTable.name, parameters),
  shares('Odour thresholds', thresholds),
  shares('Descriptors', descriptors),
];
