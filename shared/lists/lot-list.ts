// Rows of a list of stored lots to lots, each row on its own: what is wrong is told with line, column
// and cure, and does not keep the others out. And back: lots to rows headed by our field names.
import { ANALYTES, FORMS, type FormId } from '#shared/ids.ts';
import { LOT_COLUMNS, type ColumnMeaning, type ListColumn, type LotColumn } from './lot-columns.ts';
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import { pathText } from '#shared/reading/path.ts';
import { Problems } from '#shared/reading/problems.ts';
import { checkInto, type PlaceName } from '#shared/reading/check.ts';
import type { ListRow } from './csv.ts';
import { PACKS, savedLotSchema, type SavedLot } from '#shared/schemas/workspace.ts';

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
  'time',
  'opened_on',
  'pack',
  'out_of_stock',
  'note',
  'precursor',
]);

/** Words for values, folded; our own names stand for themselves. */
const VALUE_WORDS: Readonly<Partial<Record<ListColumn, Readonly<Record<string, string>>>>> = {
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
export const DECIMAL = /^[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[-+]?\d+)?$/i;
/** Most characters of a cell that is read for a figure. */
const FIGURE_MAX = 60;

/** A cell without what people write around a figure: blanks, apostrophes, a percent sign. */
function bareFigure(cell: string): string {
  if (cell.length > FIGURE_MAX) return '';
  return cell
    .replace(/[\s\u00A0']/g, '')
    .replace(/%$/, '')
    .replace('\u2212', '-');
}

/** Figures with their thousands parted, by their decimal mark. */
const PARTED: Readonly<Record<DecimalMark, RegExp>> = {
  comma: /^[-+]?\d{1,3}(?:\.\d{3})+(?:,\d*)?$/,
  point: /^[-+]?\d{1,3}(?:,\d{3})+(?:\.\d*)?$/,
};

/** A figure as written with that decimal mark; thousands may be parted, a percent sign may follow. */
export function numberOf(cell: string, mark: DecimalMark): number | null {
  const bare = bareFigure(cell);
  const thousand = mark === 'comma' ? '.' : ',';
  const joined = PARTED[mark].test(bare) ? bare.replaceAll(thousand, '') : bare;
  const plain = mark === 'comma' ? joined.replace(',', '.') : joined;
  // Minus nothing is nothing: adding 0 makes -0 to 0.
  return DECIMAL.test(plain) ? Number(plain) + 0 : null;
}

/** Figures that only one decimal mark explains, and those that either does: 1.500 is 1.5 or 1500. */
const WITH_COMMA =
  /^[-+]?(?:\d*,(?:\d{1,2}|\d{4,})|0,\d+|\d{1,3}(?:\.\d{3})+,\d+|\d{1,3}(?:\.\d{3}){2,})$/;
const WITH_POINT =
  /^[-+]?(?:\d*\.(?:\d{1,2}|\d{4,})|0\.\d+|\d{1,3}(?:,\d{3})+\.\d+|\d{1,3}(?:,\d{3}){2,})$/;
const WITH_EITHER = /^[-+]?[1-9]\d{0,2}[.,]\d{3}$/;

/** A figure that hangs on the decimal mark, where it stands. */
export interface DoubtfulFigure {
  readonly line: number;
  /** Index of its column. */
  readonly at: number;
  readonly cell: string;
}

/** How a list writes its figures. */
export type DecimalMarks =
  | { readonly mark: DecimalMark }
  /** Nothing shows it: a person must say. The first figure that hangs on it. */
  | { readonly mark: null; readonly doubtful: DoubtfulFigure };

/** Whether a column holds figures. */
export const holdsFigures = (meaning: ColumnMeaning | null) =>
  meaning !== null && !TEXTS.has(meaning.column);

/**
 * The decimal mark that most figures of a list show beyond doubt. Where none does, a list parted by
 * commas has points; in another a figure like 1.500 is in doubt, and without one the point will do.
 * @param figures for each column whether it holds figures.
 */
export function decimalMarksOf(
  rows: readonly ListRow[],
  figures: readonly boolean[],
  delimiter: string,
): DecimalMarks {
  let commas = 0;
  let doubtful: DoubtfulFigure | null = null;
  for (const { line, cells } of rows) {
    for (let at = 0; at < figures.length; at += 1) {
      if (!figures[at]) continue;
      const cell = cells[at] ?? '';
      const figure = bareFigure(cell);
      if (WITH_COMMA.test(figure)) commas += 1;
      else if (WITH_POINT.test(figure)) commas -= 1;
      else if (WITH_EITHER.test(figure)) doubtful ??= { line, at, cell: cell.trim() };
    }
  }
  if (commas !== 0) return { mark: commas > 0 ? 'comma' : 'point' };
  return doubtful === null || delimiter === ',' ? { mark: 'point' } : { mark: null, doubtful };
}

/** What a figure in doubt may be: "1.500 may be 1.5 or 1500". */
export function doubtWords({ cell }: DoubtfulFigure): string {
  const [, whole, thousandths] = /^(.*)[.,](\d{3})$/.exec(bareFigure(cell)) ?? [];
  return `${cell} may be ${Number(`${whole}.${thousandths}`)} or ${whole}${thousandths}`;
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
    if (!meaning) return;
    const { column, factor, offset } = meaning;
    // Blanks are part of what somebody wrote down, and nothing anywhere else.
    if (column === 'note' ? cell === '' : cell.trim() === '') return;
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

/**
 * The lot that fields make.
 * @returns the lot, or `undefined`; then what is wrong with it has come to `problems`.
 */
export function listedLot(
  problems: Problems,
  place: PlaceName,
  fields: Readonly<Record<string, unknown>>,
): ListedLot | undefined {
  const whole = { note: '', out_of_stock: false, ...fields, id: 'listed' };
  const lot = checkInto(problems, place, whole, savedLotSchema);
  if (lot === undefined) return undefined;
  const { id: _, ...listed } = lot;
  return listed;
}

/** Reads one row to a lot. `known` says what else is wrong with it, like a variety nobody knows. */
export function readRow(
  row: ListRow,
  reading: ListReading,
  known: (lot: ListedLot) => readonly Problem[] = () => [],
): ReadRow<ListedLot> {
  return readCells(row, reading, (fields) => {
    const problems = new Problems();
    const lot = listedLot(problems, pathText, fields);
    if (lot) problems.addAll(known(lot));
    return lot && problems.count === 0 ? success(lot) : failure(...problems.list);
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
