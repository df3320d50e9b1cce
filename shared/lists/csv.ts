// Comma-separated text to rows with their lines, and rows to text (RFC 4180). Any usual delimiter is found out or
// taken from a first line that names it; quotes that do not pair up are reported with their line. A cell that a
// spreadsheet would run as a formula is written so that it does not, and read back as it was. What the cells mean is
// decided elsewhere.
import Papa from 'papaparse';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import { Problems } from '#shared/reading/problems.ts';
import { BY_EDITS } from '#shared/schemas/workspace.ts';

/** One row of a list and where it stands. */
export interface ListRow {
  /** Line in the file, from 1. */
  readonly line: number;
  readonly cells: readonly string[];
}

/** Rows of a text that are not blank, with the delimiter between their cells. */
export interface CsvRows {
  readonly rows: readonly ListRow[];
  readonly delimiter: string;
}

/** The delimiters that may stand between the cells of a list. */
export const DELIMITERS = [',', ';', '\t', '|'] as const;
/** Rows read at most: as many lots as a stock may hold, and their header. */
const ROWS_MAX = BY_EDITS.lots + 1;
/** Cells of a row read at most; we have about fifty columns, other programs not many more. */
const COLUMNS_MAX = 500;
/** Longest cell read, characters; a note may have 2000. */
const CELL_MAX = 4000;
const [LF, CR] = [10, 13];

/** A first line like `sep=;`, by which some spreadsheets name the delimiter. */
const NAMED_DELIMITER = /^sep=([,;\t|])(?:\r\n|\r|\n|$)/i;

/**
 * The delimiter of a text: what stands most often in its first row that is not blank, outside quotes. That row names
 * the columns; the cells below may hold anything and do not decide.
 */
function delimiterOf(text: string): string {
  const counts = new Map<string, number>(DELIMITERS.map((mark) => [mark, 0]));
  let quoted = false;
  let blank = true;
  for (const letter of text) {
    if (!quoted && !blank && (letter === '\n' || letter === '\r')) break;
    if (letter === '"') quoted = !quoted;
    else if (!quoted && counts.has(letter)) counts.set(letter, counts.get(letter)! + 1);
    blank &&= letter.trim() === '';
  }
  return DELIMITERS.reduce<string>(
    (best, mark) => (counts.get(mark)! > counts.get(best)! ? mark : best),
    DELIMITERS[0],
  );
}

/** What a spreadsheet takes for the beginning of a formula, or drops in front of one. */
const FORMULA = /^'*[=+\-@\t\r]/;
const GUARDED = /^'+[=+\-@\t\r]/;
/** A negative figure is no formula. */
const NEGATIVE = /^-(?:\d+(?:\.\d*)?|\.\d+)(?:e[-+]?\d+)?$/i;

/** A cell as a spreadsheet takes it for text: with an apostrophe in front of what it would run. */
function guarded(cell: string): string {
  return FORMULA.test(cell) && !NEGATIVE.test(cell) ? `'${cell}` : cell;
}

/** A cell as it was before `guarded`. */
function bare(cell: string): string {
  return cell.startsWith("'") && GUARDED.test(cell) ? cell.slice(1) : cell;
}

/** Line ends in a part of a text; that of CR LF counts once, where it ends in the part. */
function lineEndsIn(text: string, from: number, to: number): number {
  let count = 0;
  for (let i = from; i < to; i += 1) {
    const letter = text.charCodeAt(i);
    if (letter === LF || (letter === CR && text.charCodeAt(i + 1) !== LF)) count += 1;
  }
  return count;
}

/**
 * Reasons why a text is no list that can be read here.
 * @param count the number of all its rows, of which `rows` has at most as many as a list may have.
 */
function sizeProblems(rows: readonly ListRow[], count: number, problems: Problems): void {
  if (count > ROWS_MAX) {
    problems.add(() => ({
      path: '',
      message: `the list has ${count} lines, over ${ROWS_MAX}`,
      cure: 'Split the list into several',
    }));
  }
  for (const { line, cells } of rows) {
    const path = `line ${line}`;
    if (cells.length > COLUMNS_MAX) {
      problems.add(() => ({
        path,
        message: `the line has ${cells.length} cells, over ${COLUMNS_MAX}`,
        cure: 'Remove the columns that are of no use here',
      }));
    }
    const long = cells.find((cell) => cell.length > CELL_MAX);
    if (long === undefined) continue;
    problems.add(() => ({
      path,
      message: `a cell has ${long.length} characters, over ${CELL_MAX}`,
      cure: 'Shorten it; where a quote before it was never closed, close that',
    }));
  }
}

/**
 * Reads rows; fails with each line whose quotes do not pair up or that is too long to be of a list.
 * @param likely the probable delimiter; a first line that names one takes precedence.
 */
export function csvRows(text: string, likely?: string): Outcome<CsvRows> {
  const whole = text.replace(/^\uFEFF/, '');
  const named = NAMED_DELIMITER.exec(whole);
  const plain = named ? whole.slice(named[0].length) : whole;
  const delimiter = named?.[1] ?? likely ?? delimiterOf(plain);
  const rows: ListRow[] = [];
  const problems = new Problems();
  let [start, count] = [0, 0];
  let line = named ? 2 : 1;
  Papa.parse<string[]>(plain, {
    delimiter,
    step: ({ data, errors, meta }) => {
      const at = line;
      for (const { type, message } of errors) {
        if (type !== 'Quotes') continue;
        problems.add(() => ({
          path: `line ${at}`,
          message: `the quotes do not pair up (${message.toLowerCase()})`,
          cure: 'Close the quotes, and double a quote inside quoted text',
        }));
      }
      if (data.some((cell) => cell.trim() !== '')) {
        count += 1;
        if (count <= ROWS_MAX) rows.push({ line, cells: data.map(bare) });
      }
      line += lineEndsIn(plain, start, meta.cursor);
      start = meta.cursor;
    },
  });
  if (problems.count === 0) sizeProblems(rows, count, problems);
  return problems.count === 0 ? success({ rows, delimiter }) : failure(...problems.list);
}

/** Whether a cell of the first row would point to another delimiter if it stood without quotes. */
const misleading = (cell: unknown) =>
  typeof cell === 'string' &&
  (/^sep=/i.test(cell) || DELIMITERS.some((mark) => cell.includes(mark)));

/** Rows as text with commas, lines ended by CR LF, quotes where needed (RFC 4180). */
export function csvText(rows: readonly (readonly string[])[]): string {
  const [first, ...rest] = rows.map((row) => row.map(guarded));
  const written = (some: string[][], quotes: typeof misleading | boolean) =>
    some.length > 0 ? `${Papa.unparse(some, { newline: '\r\n', quotes })}\r\n` : '';
  return written(first ? [first] : [], misleading) + written(rest, false);
}
