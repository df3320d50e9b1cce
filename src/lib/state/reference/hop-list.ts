// The hop table as it is shown: which varieties, sorted by which figure, in which order. Pure; missing figures come
// last in either direction, because a missing figure is not zero.
import {
  ANALYTES,
  AXES,
  COMPOUNDS,
  analyteOf,
  type AnalyteId,
  type AxisId,
  type Status,
  type ThiolClass,
} from '#shared/ids.ts';
import { nameKey } from '#shared/name-key.ts';

/** What varieties are compared by: a figure of the hop, or an axis of a beer with it alone. */
export type HopSubject = AnalyteId | AxisId;

/** Groups of columns, in the order they are offered: each fits a screen but the last, which has all. */
export const HOP_GROUPS = {
  overview: [
    'alpha_pct',
    'total_oil_ml_per_100g',
    'myrcene_pct_of_oil',
    'humulene_pct_of_oil',
    'linalool_pct_of_oil',
    'geraniol_pct_of_oil',
    'sh3_ug_per_kg',
    'msp4_ug_per_kg',
  ],
  axes: AXES,
  compounds: COMPOUNDS.map(analyteOf),
  all: [...AXES, ...ANALYTES],
} as const satisfies Readonly<Record<string, readonly HopSubject[]>>;
export type HopGroup = keyof typeof HOP_GROUPS;

export function isAxis(subject: HopSubject): subject is AxisId {
  return (AXES as readonly string[]).includes(subject);
}

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
  readonly figures: Readonly<Partial<Record<HopSubject, HopFigure>>>;
  /** Whether it is a variety of own tables alone. */
  readonly isOwn?: true;
}

export interface HopQuery {
  /** Part of a name or origin; empty finds all. */
  readonly text: string;
  readonly thiols: ThiolClass | 'any';
  readonly offeredOnly: boolean;
  /** Only what is in stock. */
  readonly stockOnly: boolean;
  /** Whether figures count as missing for which no source was read. */
  readonly readOnly: boolean;
  readonly by: HopSubject | 'name';
  readonly descending: boolean;
}

export const ALL_HOPS: HopQuery = {
  text: '',
  thiols: 'any',
  offeredOnly: false,
  stockOnly: false,
  readOnly: false,
  by: 'name',
  descending: false,
};

const READ: readonly Status[] = ['seen', 'derived'];

/** The figure of a row, where the query does not count it as missing. */
export function shownFigure(
  row: HopRow,
  subject: HopSubject,
  query: HopQuery,
): HopFigure | undefined {
  const figure = row.figures[subject];
  return figure && query.readOnly && !READ.includes(figure.status) ? undefined : figure;
}

/** A name as it is put in order: accents and case do not count. */
const inOrder = (name: string) => name.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase();

/**
 * Puts rows in order by name, word by word. Not by the collation of the browser: to begin with it took a fifth of the
 * start of the page.
 */
function orderByName(rows: readonly HopRow[]): (a: HopRow, b: HopRow) => number {
  const names = new Map(rows.map((row) => [row, inOrder(row.name)]));
  return (a, b) => {
    const [x, y] = [names.get(a)!, names.get(b)!];
    return Number(x > y) - Number(x < y);
  };
}

/** The rows of a query, in its order. @param stocked keys of the names that are in stock. */
export function hopsOf(
  rows: readonly HopRow[],
  query: HopQuery,
  stocked: ReadonlySet<string>,
): HopRow[] {
  const wanted = nameKey(query.text);
  const found = rows.filter(
    (row) =>
      (wanted === '' || nameKey(`${row.name} ${row.origin ?? ''}`).includes(wanted)) &&
      (query.thiols === 'any' || row.thiolClass === query.thiols) &&
      (!query.offeredOnly || row.offered) &&
      (!query.stockOnly || stocked.has(nameKey(row.name))),
  );
  const sign = query.descending ? -1 : 1;
  const byName = orderByName(found);
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
