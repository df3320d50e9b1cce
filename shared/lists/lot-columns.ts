// The columns of a list of stored lots or of a hop schedule: what each is called by us and by people, and the
// unit its figures stand in. header-words.ts decides what a header means; the person sees and changes it.
import { ANALYTES, type AnalyteId } from '#shared/ids.ts';
import { GRAMS_PER_OUNCE, GRAMS_PER_POUND } from '#shared/units.ts';
import { joined } from './folding.ts';
import { DOSE_UNITS, meaningsOf } from './header-words.ts';

/** Fields of a candidate itself, neither of its storage nor of its analysis. */
const CANDIDATE_COLUMNS = [
  'hop',
  'form',
  'grams_on_hand',
  'price_per_kg',
  'package_g',
  'harvest_year',
] as const;

/** Fields of a stored lot that are columns of their own, in the order they are written. */
export const LOT_FIELDS = [
  ...CANDIDATE_COLUMNS,
  'opened_on',
  'storage_temp_c',
  'pack',
  'storage_index',
  'out_of_stock',
  'note',
] as const;
export type LotField = (typeof LOT_FIELDS)[number];
export type LotColumn = LotField | AnalyteId | 'precursor';
export const LOT_COLUMNS: readonly LotColumn[] = [...LOT_FIELDS, ...ANALYTES, 'precursor'];

/** Columns of a schedule: what goes in where, and what is known of the lot. */
const ADDITION_FIELDS = ['hop', 'form', 'stage', 'grams', 'price_per_kg', 'package_g'] as const;
/** Columns that say more of the stage: text with a unit, or figures. */
export const STAGE_COLUMNS = ['time', 'minutes', 'hours', 'day', 'temp_c'] as const;
export type AdditionColumn =
  | (typeof ADDITION_FIELDS)[number]
  | (typeof STAGE_COLUMNS)[number]
  | AnalyteId
  | 'precursor';
/** Columns in which a list of lots counts their age in months, as the command line takes it. */
export const MONTH_COLUMNS = ['storage_months', 'packed', 'months_since_analysis'] as const;
export type MonthColumn = (typeof MONTH_COLUMNS)[number];
/** `unit`: the unit of the row's weight. */
export type ListColumn = LotColumn | AdditionColumn | MonthColumn | 'unit';

/** What a column of a file means: a field of ours, and the unit its figures stand in. */
export interface ColumnMeaning {
  /** Our field name; with another unit, like `grams_on_hand (kg)`. */
  readonly id: string;
  readonly column: ListColumn;
  /** `ours = figure * factor + offset`. */
  readonly factor: number;
  readonly offset: number;
  /** A dose per litre of beer: its grams are `figure * factor` for each litre. */
  readonly perLitre?: true;
}

function meaning(column: ListColumn, unit = '', factor = 1, offset = 0): ColumnMeaning {
  return { id: unit ? `${column} (${unit})` : column, column, factor, offset };
}

const weighed = (column: 'grams_on_hand' | 'grams' | 'package_g') => [
  meaning(column, 'kg', 1000),
  meaning(column, 'dkg', 10),
  meaning(column, 'oz', GRAMS_PER_OUNCE),
  meaning(column, 'lb', GRAMS_PER_POUND),
];
const PRICED = [
  meaning('price_per_kg', 'per 100 g', 10),
  meaning('price_per_kg', 'per g', 1000),
  meaning('price_per_kg', 'per lb', 1000 / GRAMS_PER_POUND),
  meaning('price_per_kg', 'per oz', 1000 / GRAMS_PER_OUNCE),
];
/** Alpha and beta acids as shares of one: 0.125 for 12.5 %, as spreadsheets hold percentages. */
const SHARES = [meaning('alpha_pct', 'share of 1', 100), meaning('beta_pct', 'share of 1', 100)];

/** Everything a column of a list of lots may be taken for. */
export const LOT_MEANINGS: readonly ColumnMeaning[] = [
  ...LOT_COLUMNS.map((column) => meaning(column)),
  ...weighed('grams_on_hand'),
  meaning('unit'),
  ...weighed('package_g'),
  ...PRICED,
  ...SHARES,
  meaning('storage_temp_c', 'F', 1 / 1.8, -32 / 1.8),
];

/** The same with the columns in which a list counts its age in months. */
export const STOCK_MEANINGS: readonly ColumnMeaning[] = [
  ...LOT_MEANINGS,
  ...MONTH_COLUMNS.map((column) => meaning(column)),
];

/** Everything a column of a schedule may be taken for. */
export const ADDITION_MEANINGS: readonly ColumnMeaning[] = [
  ...[...ADDITION_FIELDS, ...STAGE_COLUMNS, ...ANALYTES, 'precursor' as const].map((column) =>
    meaning(column),
  ),
  ...weighed('grams'),
  ...DOSE_UNITS.map(({ name, gPerL }) => ({
    ...meaning('grams', name, gPerL),
    perLitre: true as const,
  })),
  meaning('unit'),
  meaning('hours', 'days', 24),
  meaning('temp_c', 'F', 1 / 1.8, -32 / 1.8),
  ...weighed('package_g'),
  ...PRICED,
  ...SHARES,
];

/** Columns as people call them; figures of an analysis have names of their own. */
const COLUMN_NAMES: Readonly<Partial<Record<ListColumn, string>>> = {
  hop: 'Hop',
  form: 'Form',
  grams_on_hand: 'On hand',
  grams: 'Weight',
  unit: 'Unit of the weight',
  price_per_kg: 'Price',
  package_g: 'Package',
  harvest_year: 'Harvest year',
  opened_on: 'Opened on',
  storage_temp_c: 'Kept at',
  pack: 'How it is packed',
  storage_index: 'Storage index',
  out_of_stock: 'Out of stock',
  note: 'Note',
  precursor: 'Bound 3SH, how much',
  stage: 'Stage',
  time: 'Time, with its unit',
  minutes: 'Time',
  hours: 'Time',
  day: 'Day after pitching',
  temp_c: 'Temperature',
  storage_months: 'Age',
  packed: 'Sealed or opened',
  months_since_analysis: 'Age of the analysis',
};
const PLAIN_UNITS: Readonly<Partial<Record<ListColumn, string>>> = {
  grams_on_hand: 'g',
  grams: 'g',
  package_g: 'g',
  price_per_kg: 'per kg',
  storage_temp_c: '°C',
  temp_c: '°C',
  minutes: 'min',
  hours: 'h',
  storage_months: 'months',
  months_since_analysis: 'months',
};

/** What a column may be taken for, as people call it: "On hand, kg"; `undefined` for an analysis. */
export function meaningName({ id, column }: ColumnMeaning): string | undefined {
  const name = COLUMN_NAMES[column];
  const unit = /\((.+)\)$/.exec(id)?.[1] ?? PLAIN_UNITS[column];
  if (name === undefined || unit === undefined) return name;
  return `${name}, ${unit === 'F' ? '°F' : unit}`;
}

const ownNames = new WeakMap<readonly ColumnMeaning[], ReadonlyMap<string, ColumnMeaning>>();

/** Our own names, and components by their bare ones ("myrcene"), in one piece. */
function byOwnName(meanings: readonly ColumnMeaning[]): ReadonlyMap<string, ColumnMeaning> {
  const before = ownNames.get(meanings);
  if (before) return before;
  const found = new Map<string, ColumnMeaning>();
  ownNames.set(meanings, found);
  for (const known of meanings) {
    const compound = /^(.+)_pct_of_oil$/.exec(known.id)?.[1];
    if (compound) found.set(joined(compound), known);
    if (known.id === known.column) found.set(joined(known.id), known);
  }
  return found;
}

/** What a header means by itself; `undefined` where it is in no table. */
export function headerMeaning(
  header: string,
  meanings: readonly ColumnMeaning[],
): ColumnMeaning | undefined {
  if (header.length > HEADER_MAX) return undefined;
  const named = byOwnName(meanings).get(joined(header.replaceAll('%', '')));
  if (named) return named;
  return meaningsOf(header).flatMap((id) => meanings.find((known) => known.id === id) ?? [])[0];
}

/** Longest header that is looked at, characters. */
export const HEADER_MAX = 80;

/** What each header means, `null` where it is not in the tables; of two for a field the first counts. */
export function matchHeaders(
  headers: readonly string[],
  meanings: readonly ColumnMeaning[] = LOT_MEANINGS,
): (ColumnMeaning | null)[] {
  const taken = new Set<ListColumn>();
  return headers.map((header) => {
    const found = headerMeaning(header, meanings);
    if (!found || taken.has(found.column)) return null;
    taken.add(found.column);
    return found;
  });
}
