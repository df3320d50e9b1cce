// Reads rows of a list of stored lots to lots, each row on its own: a fault is reported with line, column, cure and
// what could stand there instead, and keeps no other row out. Writes lots to rows headed by our field names.
import { ANALYTES, FORMS, type FormId } from '#shared/ids.ts';
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import { checkInto, type PlaceName } from '#shared/reading/check.ts';
import { pathText } from '#shared/reading/path.ts';
import { Problems } from '#shared/reading/problems.ts';
import { savedLotSchema, type SavedLot } from '#shared/schemas/workspace.ts';
import { either } from '#shared/names.ts';
import type { Litres } from '#shared/units.ts';
import type { ListRow } from './csv.ts';
import { dayIn, type DateOrder } from './date-words.ts';
import {
  analysedOf,
  durationOf,
  figureText,
  gramsOf,
  numberOf,
  priceOf,
  rangeIn,
  temperatureOf,
  weightOf,
  yearOf,
  type DecimalMark,
} from './figures.ts';
import { plain } from './folding.ts';
import { meantBy, tableName, type KnownHops } from './hop-names.ts';
import {
  LOT_COLUMNS,
  meaningName,
  MONTH_COLUMNS,
  type ColumnMeaning,
  type ListColumn,
  type LotColumn,
} from './lot-columns.ts';
import { formOf, valueOf } from './value-words.ts';

/** A lot as a list holds it, without an id: the workspace that keeps it gives it one. */
export type ListedLot = Omit<SavedLot, 'id'>;

/** How a list is read. */
export interface ListReading {
  /** For each column what it means; `null`: left out. */
  readonly meanings: readonly (ColumnMeaning | null)[];
  readonly decimalMark: DecimalMark;
  /** Form of lots for which none is given. */
  readonly form: FormId;
  /** The header of each column in the list; without it messages have our own names. */
  readonly headers?: readonly string[];
  /** What comes first in a date with strokes. */
  readonly dateOrder?: DateOrder;
  /** The hop table; without it names stay as they are written. */
  readonly hops?: KnownHops;
  /** Names that a person says are hops of their own, whatever they are near to. */
  readonly ownHops?: ReadonlySet<string>;
  /** Volume of beer for doses per litre, L; without it such doses cannot be turned into grams. */
  readonly beerL?: Litres | undefined;
}

/** One row read: what it says, like a lot, or what is wrong with it. */
export interface ReadRow<T> {
  readonly line: number;
  readonly outcome: Outcome<T>;
  /** Columns the problems are about, by index; in the order of the problems, -1 for none. */
  readonly at: readonly number[];
  /**
   * The row is refused for its hop name alone: the name is near one of the hop table, and may be a hop of its own.
   */
  readonly nameAsked?: true;
}

const TEXTS: ReadonlySet<ListColumn> = new Set([
  'hop',
  'form',
  'stage',
  'time',
  'opened_on',
  'pack',
  'packed',
  'out_of_stock',
  'note',
  'precursor',
  'unit',
]);

/** Whether a column holds figures. */
export const holdsFigures = (meaning: ColumnMeaning | null) =>
  meaning !== null && !TEXTS.has(meaning.column);

/** What people write where they know nothing. */
const NOTHING = /^(?:|-+|–|—|\?|n\/?a|n\.a\.|k\.\s?a\.)$/i;

const ofAnalysis: ReadonlySet<string> = new Set([...ANALYTES, 'precursor']);
/** Where a list that counts in months keeps them in `storage`, by column. */
const OF_STORAGE: Readonly<Record<string, string>> = {
  storage_months: 'months',
  storage_temp_c: 'temp_c',
  packed: 'packed',
  storage_index: 'storage_index',
  months_since_analysis: 'months_since_analysis',
};

/** A weight, in the unit of its cell, of its row, or of its column. */
const weighed: FigureReader = (cell, { factor, perLitre }, { decimalMark: mark, beerL }, unit) => {
  if (!perLitre) return weightOf(cell, mark, unit ?? factor);
  const dose = numberOf(cell, mark);
  return dose === null || beerL === undefined ? null : dose * factor * beerL;
};
const warm: FigureReader = (cell, { factor, offset }, { decimalMark: mark }) =>
  temperatureOf(cell, mark, (value) => value * factor + offset);
/** A time, in units of so many minutes. */
const lasting =
  (unit: number): FigureReader =>
  (cell, { factor }, { decimalMark: mark }) => {
    const minutes = durationOf(cell, mark, unit * factor);
    return minutes === null ? null : minutes / unit;
  };

/** The figure of a cell in our units; `null` where it is none. @param unit grams of the row's own unit. */
type FigureReader = (
  cell: string,
  meaning: ColumnMeaning,
  reading: ListReading,
  unit: number | undefined,
) => number | null;

/** How the figures of a column are written, where not like those of an analysis. */
const FIGURE_READERS: Readonly<Partial<Record<ListColumn, FigureReader>>> = {
  grams: weighed,
  grams_on_hand: weighed,
  package_g: (cell, { factor }, { decimalMark: mark }) => weightOf(cell, mark, factor),
  price_per_kg: (cell, { factor }, { decimalMark: mark }) => priceOf(cell, mark, factor),
  temp_c: warm,
  storage_temp_c: warm,
  minutes: lasting(1),
  hours: lasting(60),
  harvest_year: (cell, _, { decimalMark: mark }) => numberOf(cell, mark) ?? yearOf(cell),
  day: (cell, _, { decimalMark: mark }) => numberOf(cell.replace(/^\D+/, ''), mark),
};

const analysed: FigureReader = (cell, { factor, offset }, { decimalMark: mark }) => {
  const figure = analysedOf(cell, mark);
  return figure === null ? null : figure * factor + offset;
};

/** The word or text of a cell as ours. */
function textIn(
  column: ListColumn,
  cell: string,
  { dateOrder, hops }: ListReading,
): string | boolean {
  if (column === 'opened_on') return dayIn(cell, dateOrder ?? 'day');
  if (column === 'hop') return (hops && tableName(cell, hops)) ?? cell;
  const text = valueOf(column, cell);
  return column === 'out_of_stock' && (text === 'true' || text === 'false')
    ? text === 'true'
    : text;
}

const OTHER_MARK: Readonly<Record<DecimalMark, DecimalMark>> = { point: 'comma', comma: 'point' };

/** One of each kind of stage, to choose from. */
const STAGES = ['mash', 'boil 60 min', 'whirlpool 80 C', 'dry hop'];

/** What could stand in a cell that cannot be read, the likeliest first; a person chooses. */
export function insteadOf(
  written: string,
  { column }: ColumnMeaning,
  reading: ListReading,
): readonly string[] {
  const { decimalMark: mark } = reading;
  const cell = written.trim();
  if (column === 'form') return FORMS;
  if (column === 'stage') return STAGES;
  // A longer text is not searched for words: no person writes that much for one value.
  if (cell.length > 60) return [];
  if (column === 'time') return numberOf(cell, mark) === null ? [] : [`${cell} days`, `${cell} h`];
  if (column === 'hop') return reading.hops ? meantBy(cell, reading.hops) : [];
  if (column === 'harvest_year') {
    const [, short] = /^['’]?(\d\d)$/.exec(cell) ?? [];
    return short ? [`20${short}`] : [];
  }
  if (TEXTS.has(column)) return [];
  const range = rangeIn(cell, mark);
  if (range) return [figureText((range[0] + range[1]) / 2, mark)];
  const other = OTHER_MARK[mark] === 'comma' ? cell.replace(',', '.') : cell.replace('.', ',');
  return other === cell || !/\d/.test(cell) ? [] : [other];
}

/** A problem of a cell that holds no figure. */
function noFigure(cell: string, meaning: ColumnMeaning, reading: ListReading): Problem {
  const { column, perLitre } = meaning;
  const path = column;
  if (perLitre && reading.beerL === undefined && numberOf(cell, reading.decimalMark) !== null) {
    const message = 'how much beer the dose is for is not known';
    return { path, message, cure: 'Give the beer volume' };
  }
  const [other] = insteadOf(cell, meaning, reading);
  return {
    path,
    message: `"${cell.slice(0, 60)}" is no number with a decimal ${reading.decimalMark}`,
    cure: other === undefined ? 'Write a figure' : `Write ${other} if that is meant`,
  };
}

/** What the cells of a row say, and what of them is no figure. */
interface RowFields {
  readonly fields: Record<string, unknown>;
  readonly problems: readonly Problem[];
}

function fieldsOf({ cells }: ListRow, reading: ListReading): RowFields {
  const { meanings } = reading;
  const fields: Record<string, unknown> = {};
  const analysis: Record<string, unknown> = {};
  const storage: Record<string, unknown> = {};
  const problems: Problem[] = [];
  const inMonths = meanings.some((m) => MONTH_COLUMNS.some((column) => column === m?.column));
  const cellOf = (column: ListColumn) =>
    (cells[meanings.findIndex((m) => m?.column === column)] ?? '').trim();
  const unit = gramsOf(plain(cellOf('unit')).replace(/\.$/, ''));
  meanings.forEach((meaning, i) => {
    if (!meaning) return;
    const { column } = meaning;
    const written = cells[i] ?? '';
    const cell = written.trim();
    // A note keeps its blanks, and a hop may be called "NA".
    if (column === 'note' ? written === '' : column === 'hop' ? cell === '' : NOTHING.test(cell)) {
      return;
    }
    if (column === 'unit') {
      if (unit !== undefined) return;
      const message = `"${cell.slice(0, 60)}" is no unit of weight known here`;
      problems.push({ path: column, message, cure: 'Write g, kg, oz or lb' });
      return;
    }
    let value: unknown = column === 'note' ? written : undefined;
    if (value === undefined && TEXTS.has(column)) value = textIn(column, cell, reading);
    if (value === undefined) {
      const figure = (FIGURE_READERS[column] ?? analysed)(cell, meaning, reading, unit);
      if (figure === null) {
        problems.push(noFigure(cell, meaning, reading));
        return;
      }
      value = figure;
    }
    const inStorage = inMonths ? OF_STORAGE[column] : undefined;
    if (inStorage !== undefined) storage[inStorage] = value;
    else (ofAnalysis.has(column) ? analysis : fields)[column] = value;
  });
  // A name may tell the form where no cell does.
  fields['form'] ??= formOf(cellOf('hop')) ?? reading.form;
  if (Object.keys(analysis).length > 0) fields['analysis'] = analysis;
  if (Object.keys(storage).length > 0) fields['storage'] = storage;
  return { fields, problems };
}

/** A name that only is near one of the table's, where nobody said that it is a hop of its own. */
function nameInDoubt(cell: string, { hops, ownHops }: ListReading): Problem | undefined {
  const near = hops && !ownHops?.has(cell) ? meantBy(cell, hops) : [];
  if (near.length === 0) return undefined;
  return {
    path: 'hop',
    message: `the hop table has no variety called "${cell}"`,
    cure: `Write ${either(near)} if that is meant, or keep it as a hop of its own`,
  };
}

/** Reads one row to fields and returns what `taken` makes of them; its problems name their field in `path`. */
export function readCells<T>(
  row: ListRow,
  reading: ListReading,
  taken: (fields: Readonly<Record<string, unknown>>) => Outcome<T>,
): ReadRow<T> {
  const { line, cells } = row;
  const { meanings, headers } = reading;
  const refused = (problems: readonly Problem[]): ReadRow<T> => {
    const names = problems.map((p) => p.path.replace(/^(?:analysis|storage)\./, ''));
    const at = names.map((field) => meanings.findIndex((m) => m?.column === field));
    const called = (name: string, i: number) => {
      const header = headers?.[at[i]!]?.trim();
      if (header) return header.slice(0, 60);
      const known = headers && meanings.find((m) => m?.column === name);
      return (known && meaningName(known)) ?? name;
    };
    const placed = problems.map((p, i) => ({
      ...p,
      path: `line ${line}, ${called(names[i]!, i)}`,
    }));
    return { line, outcome: failure(...placed), at };
  };
  if (cells.slice(meanings.length).some((cell) => cell.trim() !== '')) {
    const message = `the line has ${cells.length} cells, but there are ${meanings.length} columns`;
    return refused([{ path: 'cells', message, cure: 'Quote text with the delimiter in it' }]);
  }
  const { fields, problems } = fieldsOf(row, reading);
  const outcome = taken(fields);
  const unread = new Set(problems.map(({ path }) => path));
  const others = outcome.ok ? [] : outcome.problems.filter(({ path }) => !unread.has(path));
  const all = [...problems, ...others];
  if (all.length === 0 || !all.some(({ path }) => path === 'hop')) {
    const hop = fields['hop'];
    const doubt = typeof hop === 'string' ? nameInDoubt(hop, reading) : undefined;
    if (doubt && all.length === 0) return { ...refused([doubt]), nameAsked: true };
    if (doubt) all.push(doubt);
  }
  if (!outcome.ok) return refused(all);
  return all.length > 0 ? refused(all) : { line, outcome, at: [] };
}

/**
 * The lot that fields make.
 * @returns the lot, or `undefined`; then what is wrong with it has come to `problems`.
 */
function listedLot(
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
    const value = (from as Record<string, string | number | boolean | undefined>)[column];
    return value === undefined || value === false ? '' : String(value);
  };
  const columns = LOT_COLUMNS.filter(
    (column) =>
      column === 'hop' || column === 'form' || lots.some((lot) => cellOf(lot, column) !== ''),
  );
  return [[...columns], ...lots.map((lot) => columns.map((column) => cellOf(lot, column)))];
}
