// The tables of evidence with a person's own rows, as the model reads them: an own figure in the place of the
// published one, with its id; own sources and own figures of hops behind the published rows. A row that cannot be
// taken changes nothing here either. Loads the hop table.
import type { OwnTables } from '#shared/schemas/own-tables.ts';
import publishedSources from '#data/generated/sources.json' with { type: 'json' };
import { OWN_SCHOOLS } from '#shared/ids.ts';
import type { Source, Threshold } from '#shared/schemas/tables.ts';
import { ownRows } from '#shared/tables/own-tables.ts';
import { toSource } from '#shared/tables/rows.ts';
import { resolveProvenance } from '#engine/evidence/provenance.ts';
import { model, type Model, type ParameterId } from '#engine/tables/model.ts';
import { ownModel } from '#engine/tables/own.ts';
import {
  anchorOf,
  type EvidenceRow,
  type EvidenceTable,
  type EvidenceValue,
  type StatusShares,
} from './evidence-list.ts';
import {
  column,
  GROUND,
  RANGE,
  sourceRowsOf,
  statusShares,
  thresholdRows,
  weightRows,
} from './evidence-rows.ts';

/** The tables and shares that the page shows instead of those it was built with. */
export interface OwnEvidence {
  readonly tables: readonly EvidenceTable[];
  readonly shares: readonly StatusShares[];
}

type Ranged = Pick<Threshold, 'low' | 'central' | 'high' | 'note'>;

/** The note written beside an own figure, and the published figure it replaces. */
function noteOf({ note }: Ranged, published: Ranged | null | undefined): string {
  const stood = published
    ? `in place of the published ${published.low} to ${published.high}, middle ${published.central}`
    : 'no published figure';
  return note ? `${note}; ${stood}` : stood;
}

const withValues = (
  { columns }: EvidenceTable,
  row: EvidenceRow,
  values: Readonly<Record<string, EvidenceValue>>,
): readonly EvidenceValue[] => columns.map(({ key }, i) => values[key] ?? row.values[i]!);

/** The rows of a kind; those of own tables are marked, with the published row each replaces. */
function marked(
  table: EvidenceTable,
  now: readonly EvidenceRow[],
  mine: ReadonlySet<string>,
  noteOfRow: (id: string) => string | null,
): EvidenceRow[] {
  return now.map((row) => {
    if (!mine.has(anchorOf(table.kind, row.id))) return row;
    const note = noteOfRow(row.id);
    const values = note === null ? row.values : withValues(table, row, { note });
    return { ...row, values, isOwn: true };
  });
}

function parameterRows(table: EvidenceTable, { parameters }: Model): EvidenceRow[] {
  return table.rows.map((row) => {
    const { low, central, high, status, sources } = parameters[row.id as ParameterId];
    const figures = { low, default: central, high, status, sources };
    return { ...row, statuses: [status], values: withValues(table, row, figures) };
  });
}

function thresholdIn({ compounds }: Model, rowId: string): Threshold | null | undefined {
  const [id, school] = rowId.split('/');
  const compound = Object.values(compounds).find((of) => of.id === id);
  const own = OWN_SCHOOLS.find((of) => of === school);
  return own ? compound?.schools[own] : compound?.threshold;
}

function sourceRows(table: EvidenceTable, of: Model, own: OwnTables): EvidenceRow[] {
  const known = new Set(table.rows.map(({ id }) => id));
  const mine = ownRows(own).rows.sources.filter(({ id }) => !known.has(id));
  return [
    ...sourceRowsOf(Object.values(publishedSources) as Source[], of),
    ...sourceRowsOf(mine.map(toSource), of).map((row) => ({ ...row, isOwn: true as const })),
  ];
}

/** Every figure of a hop in own tables; the published tables of evidence have no figures of hops. */
function hopFigures(of: Model): EvidenceTable {
  const rows = (of.own ?? []).flatMap((id): EvidenceRow[] => {
    const found = id.startsWith('cell/') ? resolveProvenance(id, of) : null;
    if (!found?.ok || !('status' in found.value)) return [];
    const { name, low, default: central, high, unit, status, sources } = found.value;
    const values = [name, low, central, high, unit, status, sources];
    return [{ id: id.slice('cell/'.length), statuses: [status], values, isOwn: true }];
  });
  return {
    kind: 'cell',
    name: 'Your figures of hops',
    columns: [column('name', 'Figure'), ...RANGE, column('unit', 'Unit'), ...GROUND],
    rows,
  };
}

/** The tables and shares of the page, with own tables. */
export function evidenceWith(tables: readonly EvidenceTable[], own: OwnTables): OwnEvidence {
  const of = ownModel(model, own).model;
  const mine = new Set(of.own);
  const rowsWith = (table: EvidenceTable): readonly EvidenceRow[] => {
    switch (table.kind) {
      case 'parameter':
        return marked(table, parameterRows(table, of), mine, (id) =>
          noteOf(of.parameters[id as ParameterId], model.parameters[id as ParameterId]),
        );
      case 'threshold':
        return marked(table, thresholdRows(of), mine, (id) =>
          noteOf(thresholdIn(of, id)!, thresholdIn(model, id)),
        );
      case 'weight':
        return marked(table, weightRows(of), mine, () => null);
      case 'source':
        return sourceRows(table, of, own);
      case 'cell':
      case 'equation':
      case 'estimator':
        return table.rows;
    }
  };
  const laid = tables.map((table) => ({ ...table, rows: rowsWith(table) }));
  const figures = hopFigures(of);
  const all = figures.rows.length > 0 ? [figures, ...laid] : laid;
  return { tables: all, shares: statusShares(of) };
}
