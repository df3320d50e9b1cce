// Rows of a list of stored lots to lots, each row on its own: what is wrong is told with line, column
// and cure, and does not keep the others out. And back: lots to rows headed by our field names.
import { ANALYTES, FORMS, STAGES, type FormId } from './ids.ts';
import { LOT_COLUMNS, type ColumnMeaning, type ListColumn, type LotColumn } from './lot-columns.ts';
import { failure, success, type Outcome, type Problem } from './outcome.ts';
import { check } from './check.ts';
import type { ListRow } from './csv.ts';
import { PACKS, savedLotSchema, type SavedLot } from './schemas/workspace.ts';

/** A lot as a list holds it: only where it is kept gives it an id. */
export type ListedLot = Omit<SavedLot, 'id'>;

export const DECIMAL_MARKS = ['point', 'comma'] as const;
export type DecimalMark = (typeof DECIMAL_MARKS)[number];

/** How a list is read. */
export interface ListReading {
  /** For each column what it means; `null`: left out. */
  readonly meanings: readonly (ColumnMeaning | null)[];
  readonly decimalMark: DecimalMark;
  /** Form of lots for which none is given. */
  readonly form: FormId;
}

/** One row read: what it says, like a lot, or what is wrong with it. */
export interface ReadRow<T> {
  readonly line: number;
  readonly outcome: Outcome<T>;
  /** Columns the problems are about, by index; in the order of the problems, -1 for none. */
  readonly at: readonly number[];
}

const TEXTS: ReadonlySet<ListColumn> = new Set([
  'hop',
  'form',
  'stage',
  'opened_on',
  'pack',
  'out_of_stock',
  'note',
  'precursor',
]);

/** Words for values, folded; our own names stand for themselves. */
const VALUE_WORDS: Readonly<Partial<Record<ListColumn, Readonly<Record<string, string>>>>> = {
  stage: {
    mashhop: 'mash',
    mashtun: 'mash',
    steep: 'hot_steep',
    stand: 'hot_steep',
    hopstand: 'hot_steep',
    whirlpool: 'hot_steep',
    wp: 'hot_steep',
    flameout: 'hot_steep',
    knockout: 'hot_steep',
    dryhopping: 'dry_hop',
    dh: 'dry_hop',
  },
  form: {
    pellet: 'pellet_90',
    pellets: 'pellet_90',
    t90: 'pellet_90',
    type90: 'pellet_90',
    type90pellet: 'pellet_90',
    t90pellet: 'pellet_90',
    t45: 'pellet_enriched',
    type45: 'pellet_enriched',
    enriched: 'pellet_enriched',
    lupulinenrichedpellet: 'pellet_enriched',
    cones: 'cone',
    leaf: 'cone',
    whole: 'cone',
    wholecone: 'cone',
    wholeleaf: 'cone',
  },
  pack: {
    vacuumpacked: 'vacuum',
    sealed: 'vacuum',
    foil: 'vacuum',
    nitrogen: 'inert_gas',
    n2: 'inert_gas',
    co2: 'inert_gas',
    inertgas: 'inert_gas',
    opened: 'open',
    loose: 'open',
  },
  out_of_stock: {
    yes: 'true',
    y: 'true',
    x: 'true',
    1: 'true',
    no: 'false',
    n: 'false',
    0: 'false',
  },
};

const fold = (text: string) => text.toLowerCase().replace(/[^a-z0-9]/g, '');
const NAMES: Readonly<Partial<Record<ListColumn, readonly string[]>>> = {
  form: FORMS,
  stage: STAGES,
  pack: PACKS,
  out_of_stock: ['true', 'false'],
};

function textOf(column: ListColumn, cell: string): string | boolean {
  const folded = fold(cell);
  const own = NAMES[column]?.find((name) => fold(name) === folded);
  const words = VALUE_WORDS[column] ?? {};
  const text = own ?? (Object.hasOwn(words, folded) ? words[folded]! : cell);
  if (column === 'opened_on') {
    const [, day, month, year] = /^(\d{1,2})\.(\d{1,2})\.(\d{4})$/.exec(cell) ?? [];
    if (day && month && year) return `${year}-${month.padStart(2, '0')}-${day.padStart(2, '0')}`;
  }
  if (column === 'out_of_stock' && (text === 'true' || text === 'false')) return text === 'true';
  return text;
}

/** A decimal number with a point, as a list may write it. */
export const DECIMAL = /^[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?$/i;

/** A figure as written with that decimal mark; thousands may be parted, a percent sign may follow. */
export function numberOf(cell: string, mark: DecimalMark): number | null {
  const bare = cell
    .replace(/[\s\u00A0']/g, '')
    .replace(/%$/, '')
    .replace('\u2212', '-');
  const [decimal, thousand] = mark === 'comma' ? [',', '.'] : ['.', ','];
  const parted = new RegExp(`^[-+]?\\d{1,3}(\\${thousand}\\d{3})+(\\${decimal}\\d*)?$`);
  const joined = parted.test(bare) ? bare.replaceAll(thousand, '') : bare;
  const plain = mark === 'comma' ? joined.replace(',', '.') : joined;
  return DECIMAL.test(plain) ? Number(plain) : null;
}

/** The decimal mark most figures of a list show beyond doubt; the point where none does. */
export function decimalMarkOf(
  rows: readonly ListRow[],
  meanings: readonly (ColumnMeaning | null)[],
): DecimalMark {
  let commas = 0;
  for (const { cells } of rows) {
    cells.forEach((cell, i) => {
      const meaning = meanings[i];
      if (!meaning || TEXTS.has(meaning.column)) return;
      const bare = cell.trim().replace(/\s*%$/, '');
      if (/^[-+]?(\d*,(\d{1,2}|\d{4,})|0,\d+|[\d.]+\.\d{3},\d+)$/.test(bare)) commas += 1;
      if (/^[-+]?(\d*\.(\d{1,2}|\d{4,})|0\.\d+|[\d,]+,\d{3}\.\d+)$/.test(bare)) commas -= 1;
    });
  }
  return commas > 0 ? 'comma' : 'point';
}

const ofAnalysis: ReadonlySet<string> = new Set([...ANALYTES, 'precursor']);

/**
 * Reads one row to fields and takes them for what `taken` makes of them; its problems name their field
 * in `path`.
 */
export function readCells<T>(
  { line, cells }: ListRow,
  { meanings, decimalMark, form }: ListReading,
  taken: (fields: Readonly<Record<string, unknown>>) => Outcome<T>,
): ReadRow<T> {
  const fields: Record<string, unknown> = {};
  const analysis: Record<string, unknown> = {};
  const refused = (problems: readonly Problem[]): ReadRow<T> => {
    const names = problems.map((p) => p.path.replace(/^analysis\./, ''));
    const told = problems.map((p, i) => ({ ...p, path: `line ${line}, ${names[i]}` }));
    const at = names.map((field) => meanings.findIndex((m) => m?.column === field));
    return { line, outcome: failure(...told), at };
  };
  if (cells.slice(meanings.length).some((cell) => cell.trim() !== '')) {
    const message = `the line has ${cells.length} cells, but there are ${meanings.length} columns`;
    return refused([{ path: 'cells', message, cure: 'Quote text with the delimiter in it' }]);
  }
  meanings.forEach((meaning, i) => {
    const cell = cells[i] ?? '';
    if (!meaning || cell.trim() === '') return;
    const { column, factor, offset } = meaning;
    let value: unknown = column === 'note' ? cell : textOf(column, cell.trim());
    if (!TEXTS.has(column)) {
      const figure = numberOf(cell, decimalMark);
      value = figure === null ? cell.trim() : figure * factor + offset;
    }
    (ofAnalysis.has(column) ? analysis : fields)[column] = value;
  });
  fields['form'] ??= form;
  if (Object.keys(analysis).length > 0) fields['analysis'] = analysis;
  const outcome = taken(fields);
  return outcome.ok ? { line, outcome, at: [] } : refused(outcome.problems);
}

/** The lot that fields make, or everything wrong with them. */
export function listedLot(fields: Readonly<Record<string, unknown>>): Outcome<ListedLot> {
  const outcome = check({ note: '', out_of_stock: false, ...fields, id: 'listed' }, savedLotSchema);
  if (!outcome.ok) return outcome;
  const { id: _, ...listed } = outcome.value;
  return success(listed);
}

/** Reads one row to a lot. `known` says what else is wrong with it, like a variety nobody knows. */
export function readRow(
  row: ListRow,
  reading: ListReading,
  known: (lot: ListedLot) => readonly Problem[] = () => [],
): ReadRow<ListedLot> {
  return readCells(row, reading, (fields) => {
    const outcome = listedLot(fields);
    const problems = outcome.ok ? known(outcome.value) : [];
    return problems.length > 0 ? failure(...problems) : outcome;
  });
}

/** Lots as rows under our field names; only columns some lot fills, `hop` and `form` always. */
export function rowsOf(lots: readonly ListedLot[]): string[][] {
  const cellOf = (lot: ListedLot, column: LotColumn): string => {
    const from: object = ofAnalysis.has(column) ? (lot.analysis ?? {}) : lot;
    const value = (from as Record<string, unknown>)[column];
    return value === undefined || value === false ? '' : String(value);
  };
  const columns = LOT_COLUMNS.filter(
    (column) =>
      column === 'hop' || column === 'form' || lots.some((lot) => cellOf(lot, column) !== ''),
  );
  return [[...columns], ...lots.map((lot) => columns.map((column) => cellOf(lot, column)))];
}
