// The hop table as somebody looks at it: which varieties, in which order. Pure; figures nobody gave
// come last in either direction, because missing is not zero.
import type { AnalyteId, Status, ThiolClass } from '#shared/ids.ts';
import { nameKey } from '#shared/name-key.ts';

/** The columns of the table, in order: what decides where a hop is used, and what it is bought for. */
export const HOP_COLUMNS = [
  'alpha_pct',
  'total_oil_ml_per_100g',
  'myrcene_pct_of_oil',
  'humulene_pct_of_oil',
  'linalool_pct_of_oil',
  'geraniol_pct_of_oil',
  'sh3_ug_per_kg',
  'msp4_ug_per_kg',
] as const satisfies readonly AnalyteId[];
export type HopColumn = (typeof HOP_COLUMNS)[number];

export interface HopFigure {
  readonly low: number;
  readonly central: number;
  readonly high: number;
  readonly status: Status;
}

export interface HopRow {
  readonly id: string;
  readonly name: string;
  readonly origin: string | null;
  readonly thiolClass: ThiolClass;
  /** Whether the optimizer may use it: none of the deciding figures is missing. */
  readonly offered: boolean;
  readonly figures: Readonly<Partial<Record<HopColumn, HopFigure>>>;
}

export interface HopQuery {
  /** Part of a name or origin; empty finds all. */
  readonly text: string;
  readonly thiols: ThiolClass | 'any';
  readonly offeredOnly: boolean;
  /** Figures no source was read for are as good as missing. */
  readonly readOnly: boolean;
  readonly by: HopColumn | 'name';
  readonly descending: boolean;
}

export const ALL_HOPS: HopQuery = {
  text: '',
  thiols: 'any',
  offeredOnly: false,
  readOnly: false,
  by: 'name',
  descending: false,
};

const READ: readonly Status[] = ['seen', 'derived'];

/** The figure a query lets stand. */
export function shownFigure(
  row: HopRow,
  column: HopColumn,
  query: HopQuery,
): HopFigure | undefined {
  const figure = row.figures[column];
  return figure && query.readOnly && !READ.includes(figure.status) ? undefined : figure;
}

/** The rows of a query, in its order. */
export function hopsOf(rows: readonly HopRow[], query: HopQuery): HopRow[] {
  const wanted = nameKey(query.text);
  const found = rows.filter(
    (row) =>
      (wanted === '' || nameKey(`${row.name} ${row.origin ?? ''}`).includes(wanted)) &&
      (query.thiols === 'any' || row.thiolClass === query.thiols) &&
      (!query.offeredOnly || row.offered),
  );
  const sign = query.descending ? -1 : 1;
  const byName = (a: HopRow, b: HopRow) => a.name.localeCompare(b.name, 'en');
  const { by } = query;
  if (by === 'name') return found.sort((a, b) => sign * byName(a, b));
  return found.sort((a, b) => {
    const x = shownFigure(a, by, query)?.central;
    const y = shownFigure(b, by, query)?.central;
    if (x === undefined || y === undefined) {
      return Number(x === undefined) - Number(y === undefined) || byName(a, b);
    }
    return sign * (x - y) || byName(a, b);
  });
}
