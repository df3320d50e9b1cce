// Everything the predictions stand on, as tables: parameters, thresholds, descriptor weights,
// estimators, equations, sources, and the shares of figures by status. Built once, at build time;
// the page receives the rows alone.
import errorRows from '#data/generated/estimate-errors.json' with { type: 'json' };
import estimatorRows from '#data/generated/estimators.json' with { type: 'json' };
import sourceRows from '#data/generated/sources.json' with { type: 'json' };
import type { EstimateError } from '#shared/evidence/estimate-error.ts';
import type { Estimator } from '#shared/evidence/estimate.ts';
import type { Source } from '#shared/schemas/tables.ts';
import { chainOf, equationOf, equationsWith, parametersOf } from '#engine/evidence/equations.ts';
import { EQUATION_IDS } from '#engine/symbols/equation-ids.ts';
import { model, type ParameterId } from '#engine/tables/model.ts';
import type { EvidenceTable } from './evidence-list.ts';
import {
  column,
  GROUND,
  NOTE,
  RANGE,
  sourceRowsOf,
  statusShares,
  thresholdRows,
  weightRows,
} from './evidence-rows.ts';

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
  rows: Object.values(model.parameters).map((p) => ({
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
  rows: thresholdRows(model),
};

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
  rows: weightRows(model),
};

/** The estimate as a product of powers, where it depends on other figures. */
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
  rows: sourceRowsOf(Object.values(sourceRows) as Source[], model),
};

export const EVIDENCE_TABLES: readonly EvidenceTable[] = [
  parameterTable,
  thresholdTable,
  weightTable,
  estimatorTable,
  equationTable,
  sourceTable,
];

export const STATUS_SHARES = statusShares(model);
