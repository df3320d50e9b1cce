// Reads a table of data/ from its CSV text: every row is checked against a schema of rows.ts, and whatever is wrong
// is reported with file, line and column. Nothing is guessed and no row is dropped.
import { csvParseRows } from 'd3';
import type { z } from 'zod/mini';
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';

/** A row with the line it stands on in its file (1 is the header), for later messages. */
export type Located<T> = T & { readonly line: number };

/**
 * Rows of `text` as `schema` understands them. The header must hold exactly the schema's columns,
 * in any order. Fails with one problem per wrong cell; the path is `line N, column C`.
 */
export function readTable<S extends z.ZodMiniObject>(
  text: string,
  schema: S,
): Outcome<Located<z.output<S>>[]> {
  const [header, ...records] = numberLines(csvParseRows(text.replace(/\r?\n$/, '')));
  const wanted = Object.keys(schema.shape);
  if (header === undefined) {
    return failure({ path: 'line 1', message: 'the file is empty', cure: headerCure(wanted) });
  }
  const columns = header.cells;
  const unlike = [
    ...wanted.filter((name) => !columns.includes(name)).map((name) => `${name} is missing`),
    ...columns.filter((name) => !wanted.includes(name)).map((name) => `${name} is not known`),
  ];
  if (unlike.length > 0 || columns.length !== wanted.length) {
    const message = unlike.length > 0 ? `column ${unlike.join(', ')}` : 'a column is given twice';
    return failure({ path: 'line 1', message, cure: headerCure(wanted) });
  }

  const rows: Located<z.output<S>>[] = [];
  const problems: Problem[] = [];
  for (const { line, cells } of records) {
    if (cells.length !== columns.length) {
      problems.push({
        path: `line ${line}`,
        message: `the row has ${cells.length} cells, the header has ${columns.length}`,
        cure: 'Quote cells that hold a comma, or add the missing commas',
      });
      continue;
    }
    const parsed = schema.safeParse(
      Object.fromEntries(columns.map((name, i) => [name, cells[i] ?? ''])),
    );
    if (parsed.success) {
      rows.push({ ...parsed.data, line });
      continue;
    }
    for (const issue of parsed.error.issues) {
      const column = String(issue.path[0] ?? '');
      const value = cells[columns.indexOf(column)];
      problems.push({
        path: column === '' ? `line ${line}` : `line ${line}, column ${column}`,
        message: `${value === undefined ? 'the row' : `"${value}"`} is not allowed`,
        cure: issue.message,
      });
    }
  }
  return problems.length > 0 ? failure(...problems) : success(rows);
}

function headerCure(wanted: readonly string[]): string {
  return `Give the header exactly these columns: ${wanted.join(', ')}`;
}

/** Line numbers count breaks inside quoted cells, so that they match what an editor shows. */
function numberLines(rows: readonly string[][]): { line: number; cells: string[] }[] {
  let next = 1;
  return rows.map((cells) => {
    const line = next;
    next += 1 + cells.reduce((breaks, cell) => breaks + cell.split('\n').length - 1, 0);
    return { line, cells };
  });
}
