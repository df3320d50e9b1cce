// The tables of evidence as they are shown and searched: what a row holds, and which rows a search finds. Pure, and
// without the tables themselves, which arrive with the page.
import type { Status } from '#shared/ids.ts';
import { nameKey } from '#shared/name-key.ts';

/** Kinds of rows; with an id they make the anchor of a row, `parameter/oil.density`. */
export type EvidenceKind =
  | 'parameter'
  | 'threshold'
  | 'weight'
  | 'estimator'
  | 'equation'
  | 'source'
  | 'cell';

export interface EvidenceColumn {
  readonly key: string;
  readonly name: string;
  /** How a value is shown: ids of `link` lead to rows of another table. */
  readonly as: 'words' | 'figure' | 'formula' | 'status' | 'sources' | 'equations' | 'parameters';
}

/** Ids where a column links, `null` where nothing is known: missing is not zero. */
export type EvidenceValue = string | number | readonly string[] | null;

export interface EvidenceRow {
  readonly id: string;
  /** Statuses by which a search finds it; for a source, those of the figures that cite it. */
  readonly statuses: readonly Status[];
  /** In the order of the columns; the first names the row. */
  readonly values: readonly EvidenceValue[];
  /** Whether it stands in a person's own tables. */
  readonly isOwn?: true;
}

export interface EvidenceTable {
  readonly kind: EvidenceKind;
  readonly name: string;
  readonly columns: readonly EvidenceColumn[];
  readonly rows: readonly EvidenceRow[];
}

/** How many figures of a kind have each status. */
export interface StatusShares {
  readonly name: string;
  readonly statuses: Readonly<Record<Status, number>>;
}

export interface EvidenceQuery {
  /** Words that must all stand somewhere in a row; empty finds all. */
  readonly text: string;
  readonly status: Status | 'any';
}

export const ALL_EVIDENCE: EvidenceQuery = { text: '', status: 'any' };

export function anchorOf(kind: EvidenceKind, id: string): string {
  return `${kind}/${id}`;
}

/** The anchor an address leads to, as it stands after its `#`; empty where it cannot be one. */
export function anchorIn(hash: string): string {
  try {
    return decodeURIComponent(hash.slice(1));
  } catch {
    return '';
  }
}

/** The rows of a table that a query finds, in their order. */
export function rowsOf({ rows }: EvidenceTable, { text, status }: EvidenceQuery): EvidenceRow[] {
  const words = text
    .split(/\s+/)
    .map(nameKey)
    .filter((word) => word !== '');
  return rows.filter((row) => {
    if (status !== 'any' && !row.statuses.includes(status)) return false;
    if (words.length === 0) return true;
    const whole = nameKey([row.id, ...row.values.flat()].join(' '));
    return words.every((word) => whole.includes(word));
  });
}

/** A table as rows of a CSV file, names of the columns first; an unknown figure is an empty field. */
export function csvRows(table: EvidenceTable, rows: readonly EvidenceRow[]): string[][] {
  const field = (value: EvidenceValue) =>
    value === null ? '' : typeof value === 'object' ? value.join('; ') : String(value);
  return [
    ['id', ...table.columns.map(({ key }) => key)],
    ...rows.map(({ id, values }) => [id, ...values.map(field)]),
  ];
}
