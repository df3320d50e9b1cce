// From the text of a stock list to lots, or to every problem with its line, without asking a person: for the command
// line. A list gives the age of its lots by dates, as the stock is written out, or in months. What had to be assumed
// is noted.
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import { Problems } from '#shared/reading/problems.ts';
import type { FormId } from '#shared/ids.ts';
import { nearestName } from '#shared/names.ts';
import { FORM_NAMES } from '#shared/words.ts';
import { dateDoubtWords, dateOrdersOf } from './date-words.ts';
import { decimalMarksOf, doubtWords } from './figures.ts';
import { meantBy, type KnownHops } from './hop-names.ts';
import { listIn, type FoundList } from './list.ts';
import { LOT_COLUMNS, STOCK_MEANINGS, MONTH_COLUMNS, type ListColumn } from './lot-columns.ts';
import { holdsFigures, readRow, type ListedLot, type ListReading } from './lot-list.ts';

/** A lot and the line it stands on. */
export interface StockLot {
  readonly line: number;
  readonly lot: ListedLot;
}

/** The lots of a list, and what its reader should know of how they were read, each a sentence. */
export interface StockList {
  readonly lots: readonly StockLot[];
  readonly notes: readonly string[];
}

/** Columns that only a list with dates has; a list in months has `MONTH_COLUMNS`. */
const OF_DATES: readonly ListColumn[] = ['opened_on', 'pack'];
/** Form of lots for which none is given. */
const USUAL_FORM: FormId = 'pellet_90';

function headerProblems({ headers, meanings }: FoundList, line: number): readonly Problem[] {
  const path = `line ${line}`;
  const given = (columns: readonly ListColumn[]) =>
    columns.filter((column) => meanings.some((m) => m?.column === column));
  const [months, dates] = [given(MONTH_COLUMNS), given(OF_DATES)];
  const problems: Problem[] = [];
  if (given(['hop']).length === 0) {
    const near = headers.find((header) => nearestName(header, ['hop', 'variety']) !== undefined);
    problems.push({
      path,
      message: 'no column is the hop',
      cure: `Name the columns in the first line, like hop,form,grams_on_hand,price_per_kg${
        near === undefined ? '' : `; write hop for ${near.slice(0, 60)} if that is meant`
      }`,
    });
  }
  const twice = headers.filter((h, i) => h !== '' && meanings[i] && headers.indexOf(h) < i);
  for (const header of new Set([...twice, ...doubled(headers)])) {
    const message = `the column ${header.slice(0, 60)} is given twice`;
    problems.push({ path, message, cure: 'Remove one of them' });
  }
  if (months.length > 0 && dates.length > 0) {
    problems.push({
      path,
      message: `ages are counted in months (${months.join(', ')}) and given by dates (${dates.join(', ')})`,
      cure: 'Keep one of the two ways',
    });
  }
  return problems;
}

/** Our own field names that head two columns. */
function doubled(headers: readonly string[]): string[] {
  const own: readonly string[] = LOT_COLUMNS;
  return headers.filter((header, i) => own.includes(header) && headers.indexOf(header) < i);
}

/** What keeps the figures or the dates of a list from being read, with what to write. */
function doubtProblem({ headers, meanings, rows, delimiter }: FoundList): Problem | ListReading {
  const marks = decimalMarksOf(rows, meanings.map(holdsFigures), delimiter);
  if (marks.mark === null) {
    const { line, at } = marks.doubtful;
    return {
      path: `line ${line}, ${headers[at]}`,
      message: doubtWords(marks.doubtful),
      cure: 'Write figures with a decimal point, without needless zeros and without a mark between thousands',
    };
  }
  const dates = meanings.findIndex((m) => m?.column === 'opened_on');
  const orders = dateOrdersOf(rows, dates);
  if (orders.order === null) {
    const { line } = orders.doubtful;
    const cure = 'Write days like 2025-12-31';
    return {
      path: `line ${line}, ${headers[dates]}`,
      message: dateDoubtWords(orders.doubtful),
      cure,
    };
  }
  return { meanings, headers, decimalMark: marks.mark, form: USUAL_FORM, dateOrder: orders.order };
}

/** Notes on what was assumed: columns left out, the form where none is given, hop names not in the table. */
function notesOf(
  list: FoundList,
  lots: readonly StockLot[],
  hops: KnownHops | undefined,
): string[] {
  const { headers, meanings } = list;
  const leftOut = headers.filter((header, i) => header !== '' && !meanings[i]);
  const notes: string[] = [];
  if (leftOut.length > 0) {
    const near = leftOut.flatMap((header) => {
      const name = nearestName(header, LOT_COLUMNS);
      return name ? [`${name} for ${header}`] : [];
    });
    const cure = near.length > 0 ? ` Write ${near.join(', ')} if that is meant.` : '';
    notes.push(`Columns left out: ${leftOut.map((h) => h.slice(0, 60)).join(', ')}.${cure}`);
  }
  if (!meanings.some((m) => m?.column === 'form')) {
    notes.push(
      `No column is the form: lots count as ${FORM_NAMES[USUAL_FORM]} unless their name says otherwise.`,
    );
  }
  const strange = lots.flatMap(({ line, lot }) => {
    const [near] = hops && hops.named(lot.hop) === undefined ? meantBy(lot.hop, hops) : [];
    return near === undefined ? [] : [`line ${line}, ${lot.hop} (write ${near} if that is meant)`];
  });
  if (strange.length > 0)
    notes.push(
      `Not in the hop table, known by their own analysis alone: ${strange.slice(0, 10).join('; ')}.`,
    );
  return notes;
}

/**
 * Reads a stock list: one row names the columns, each further row is a lot. An empty cell is a figure nobody
 * gave. Fails with all problems found.
 * @param hops the hop table; without it names stay as they are written.
 */
export function stockIn(text: string, hops?: KnownHops): Outcome<StockList> {
  const found = listIn(text, STOCK_MEANINGS, hops);
  if (!found.ok) return found;
  const list = found.value;
  if (list.rows.length === 0) {
    return failure({
      path: '',
      message:
        list.headers.length > 0 ? 'there are column names, but no lots' : 'there is nothing in it',
      cure: 'Write the column names into the first line, hop,form,grams_on_hand,price_per_kg and so on, and one lot into each further line',
    });
  }
  const faults = headerProblems(list, list.line);
  if (faults.length > 0) return failure(...faults);
  const reading = doubtProblem(list);
  if ('message' in reading) return failure(reading);
  const problems = new Problems();
  const lots = list.rows.flatMap((row): StockLot[] => {
    // A name that is only near another is noted, not refused: a list may hold hops of its own.
    const ownHops = new Set([
      (row.cells[reading.meanings.findIndex((m) => m?.column === 'hop')] ?? '').trim(),
    ]);
    const { line, outcome } = readRow(row, { ...reading, ownHops, ...(hops && { hops }) });
    if (outcome.ok) return [{ line, lot: outcome.value }];
    problems.addAll(outcome.problems);
    return [];
  });
  if (problems.count > 0) return failure(...problems.list);
  return success({ lots, notes: notesOf(list, lots, hops) });
}
