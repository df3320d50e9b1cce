// Comma-separated text to rows with their lines, and rows to text (RFC 4180). Any usual delimiter is
// found out; quotes that do not pair up are told with their line. Knows nothing of what the cells mean.
import Papa from 'papaparse';
import { failure, success, type Outcome } from './outcome.ts';

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

const DELIMITERS = [',', ';', '\t', '|'];

/**
 * The delimiter of a text: what stands most often in its first line that is not blank, outside quotes.
 * That line names the columns; what is written in the cells below must not decide.
 */
function delimiterOf(text: string): string {
  const header = (/^.*\S.*$/m.exec(text)?.[0] ?? '').replace(/"[^"]*"/g, '');
  const count = (mark: string) => header.split(mark).length;
  return DELIMITERS.reduce((best, mark) => (count(mark) > count(best) ? mark : best));
}

/** Reads rows; fails with each line whose quotes do not pair up. */
export function csvRows(text: string): Outcome<CsvRows> {
  const rows: ListRow[] = [];
  const plain = text.replace(/^\uFEFF/, '');
  const faults: { line: number; message: string }[] = [];
  let delimiter = ',';
  let start = 0;
  let line = 1;
  Papa.parse<string[]>(plain, {
    delimiter: delimiterOf(plain),
    step: ({ data, errors, meta }) => {
      ({ delimiter } = meta);
      for (const { type, message } of errors) if (type === 'Quotes') faults.push({ line, message });
      if (data.some((cell) => cell.trim() !== '')) rows.push({ line, cells: data });
      line += plain.slice(start, meta.cursor).split(/\r\n|\r|\n/).length - 1;
      start = meta.cursor;
    },
  });
  if (faults.length === 0) return success({ rows, delimiter });
  return failure(
    ...faults.map((fault) => ({
      path: `line ${fault.line}`,
      message: `the quotes do not pair up (${fault.message.toLowerCase()})`,
      cure: 'Close the quotes, and double a quote inside quoted text',
    })),
  );
}

/** Rows as text with commas, lines ended by CR LF, quotes where needed (RFC 4180). */
export function csvText(rows: readonly (readonly string[])[]): string {
  return `${Papa.unparse(rows as string[][], { newline: '\r\n' })}\r\n`;
}
