// From the rows of a stock list to lots, or to every problem with the line it stands on. A list tells
// how its lots were kept by dates, as the stock is written out, or in months. Columns bear our names.
// Knows nothing of the file format: whoever reads the CSV hands in cells.
import type { ListRow } from './csv.ts';
import { LOT_COLUMNS, LOT_FIELDS } from './lot-columns.ts';
import { DECIMAL, decimalMarksOf, doubtWords, listedLot, type ListedLot } from './lot-list.ts';
import { nearestName } from '#shared/names.ts';
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import { pathText, type Path } from '#shared/reading/path.ts';
import { Problems } from '#shared/reading/problems.ts';
import type { Storage } from '#shared/schemas/brief.ts';

/** A lot and the line it stands on. */
export interface StockLot {
  readonly line: number;
  readonly lot: ListedLot;
}

const TEXT_COLUMNS: readonly string[] = [
  'hop',
  'form',
  'precursor',
  'packed',
  'opened_on',
  'pack',
  'note',
];
/** Columns of a list that counts in months -> field of `storage`. */
const STORAGE_COLUMNS: Readonly<Record<string, keyof Storage>> = {
  storage_months: 'months',
  storage_temp_c: 'temp_c',
  packed: 'packed',
  storage_index: 'storage_index',
  months_since_analysis: 'months_since_analysis',
};
/** What only a list that counts in months has, and only one that tells dates. */
const OF_MONTHS: readonly string[] = ['storage_months', 'packed', 'months_since_analysis'];
const OF_DATES: readonly string[] = ['opened_on', 'pack'];
/** Columns a stock list may have; `hop` and `form` it must have. */
const STOCK_COLUMNS: readonly string[] = [...new Set([...LOT_COLUMNS, ...OF_MONTHS])];

function headerProblems(names: readonly string[], line: number): readonly Problem[] {
  const path = `line ${line}`;
  const problems = new Problems();
  for (const name of names) {
    if (STOCK_COLUMNS.includes(name)) continue;
    problems.add(() => {
      const near = nearestName(name, STOCK_COLUMNS);
      return {
        path,
        message: `no column is called "${name.slice(0, 60)}"`,
        cure: near
          ? `Write ${near} if that is meant, or remove the column`
          : `Remove the column; known are ${[...LOT_FIELDS, ...OF_MONTHS].join(', ')}, precursor and the analysis figures like alpha_pct`,
      };
    });
  }
  const given = new Set<string>();
  for (const name of names) {
    const message = `the column ${name.slice(0, 60)} is given twice`;
    if (given.has(name)) problems.add(() => ({ path, message, cure: 'Remove one of them' }));
    given.add(name);
  }
  for (const name of ['hop', 'form']) {
    if (given.has(name)) continue;
    problems.add(() => ({
      path,
      message: `the column ${name} is missing`,
      cure: 'The first line names the columns: hop,form,grams_on_hand,price_per_kg and so on',
    }));
  }
  const [months, dates] = [OF_MONTHS, OF_DATES].map((all) => all.filter((n) => given.has(n)));
  if (months!.length > 0 && dates!.length > 0) {
    problems.add(() => ({
      path,
      message: `ages are counted in months (${months!.join(', ')}) and told by dates (${dates!.join(', ')})`,
      cure: 'Keep one of the two ways',
    }));
  }
  return problems.list;
}

/** A cell as the value it stands for; text that is no number is left for the check to name. */
function valueOf(column: string, cell: string): string | number | boolean {
  if (column === 'out_of_stock' && (cell === 'true' || cell === 'false')) return cell === 'true';
  // Minus nothing is nothing: adding 0 makes -0 to 0.
  return TEXT_COLUMNS.includes(column) || !DECIMAL.test(cell) ? cell : Number(cell) + 0;
}

/** The lot of a row, or `undefined`; then what is wrong with it has come to `problems`. */
function lotOfRow(
  problems: Problems,
  names: readonly string[],
  { line, cells }: ListRow,
): StockLot | undefined {
  if (cells.length !== names.length) {
    problems.add(() => ({
      path: `line ${line}`,
      message: `the line has ${cells.length} cells, but there are ${names.length} columns`,
      cure: 'Give every column a cell, an empty one where nothing is known',
    }));
    return undefined;
  }
  const inMonths = names.some((name) => OF_MONTHS.includes(name));
  const lot: Record<string, unknown> = {};
  const analysis: Record<string, unknown> = {};
  const storage: Record<string, unknown> = {};
  names.forEach((name, i) => {
    const cell = name === 'note' ? cells[i]! : cells[i]!.trim();
    if (cell === '') return;
    const inStorage = inMonths ? STORAGE_COLUMNS[name] : undefined;
    const inLot = (LOT_FIELDS as readonly string[]).includes(name);
    if (inStorage) storage[inStorage] = valueOf(name, cell);
    else (inLot ? lot : analysis)[name] = valueOf(name, cell);
  });
  if (Object.keys(analysis).length > 0) lot['analysis'] = analysis;
  if (Object.keys(storage).length > 0) lot['storage'] = storage;
  const place = (path: Path) => `line ${line}, ${pathText(path).replace(/^analysis\./, '')}`;
  const listed = listedLot(problems, place, lot);
  return listed && { line, lot: listed };
}

/**
 * Reads a stock list: the first row names the columns, each further row is a lot. An empty cell is
 * a figure nobody gave; figures have decimal points. Fails with all problems found.
 * @param delimiter what parts the cells: where it is no comma, 1.500 may be meant for 1500.
 */
export function stockOf(rows: readonly ListRow[], delimiter = ','): Outcome<StockLot[]> {
  const [header, ...lots] = rows;
  if (!header || lots.length === 0) {
    return failure({
      path: '',
      message: header ? 'there are column names, but no lots' : 'there is nothing in it',
      cure: 'Write the column names into the first line, hop,form,grams_on_hand,price_per_kg and so on, and one lot into each further line',
    });
  }
  const names = header.cells.map((cell) => cell.trim());
  const headerFaults = headerProblems(names, header.line);
  if (headerFaults.length > 0) return failure(...headerFaults);
  const marks = decimalMarksOf(
    lots,
    names.map((name) => !TEXT_COLUMNS.includes(name) && name !== 'out_of_stock'),
    delimiter,
  );
  if (marks.mark === null) {
    const { line, at } = marks.doubtful;
    return failure({
      path: `line ${line}, ${names[at]}`,
      message: doubtWords(marks.doubtful),
      cure: 'Write figures with a decimal point, without needless zeros and without a mark between thousands',
    });
  }
  const problems = new Problems();
  const read = lots.flatMap((row) => lotOfRow(problems, names, row) ?? []);
  return problems.count === 0 ? success(read) : failure(...problems.list);
}
