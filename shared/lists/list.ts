// Finds the list in a text as people export it: the delimiter of the cells, the row that names the columns (there may
// be titles above it), what each column means, and which rows are lots or additions (lines of sums are none).
import { success, type Outcome } from '#shared/outcome.ts';
import { csvRows, DELIMITERS, type ListRow } from './csv.ts';
import { DECIMAL_MARKS, gramsOf, weightOf } from './figures.ts';
import { plain } from './folding.ts';
import { looseMeaningsOf, unitMeaningsOf } from './header-words.ts';
import { tableName, type KnownHops } from './hop-names.ts';
import { HEADER_MAX, headerMeaning, matchHeaders, type ColumnMeaning } from './lot-columns.ts';
import { readStage } from './stage-words.ts';
import { isPacking, isSum, isValueOf } from './value-words.ts';

/** A list as it was found in a text. */
export interface FoundList {
  readonly headers: readonly string[];
  readonly meanings: readonly (ColumnMeaning | null)[];
  readonly rows: readonly ListRow[];
  readonly delimiter: string;
  /** Line of the row that names the columns. */
  readonly line: number;
  /** Rows above the one that names the columns, which are left out. */
  readonly above: number;
  /** Lines of sums, which are left out. */
  readonly sums: readonly number[];
}

/** How far down the row that names the columns is looked for: letters of the text, and rows. */
const HEAD_LETTERS = 20_000;
const HEAD_ROWS = 30;
/** Headers that must be understood in a row, so that it can name the columns below other rows. */
const HEAD_LEAST = 2;
/** Cells of a column that are looked at to see what it holds. */
const SAMPLE = 50;

/** How many columns of a row are understood as headers, and where the row stands. */
interface Head {
  readonly row: number;
  readonly understood: number;
}

function headOf(rows: readonly ListRow[], meanings: readonly ColumnMeaning[]): Head {
  let best: Head = { row: 0, understood: 0 };
  for (let row = 0; row < Math.min(rows.length, HEAD_ROWS); row += 1) {
    const understood = matchHeaders(rows[row]!.cells, meanings).filter(Boolean).length;
    if (understood > best.understood) best = { row, understood };
  }
  return best.understood >= HEAD_LEAST ? best : { row: 0, understood: best.understood };
}

/** The delimiter with which most headers are understood; `undefined` where none is with any. */
function likelyDelimiter(text: string, meanings: readonly ColumnMeaning[]): string | undefined {
  const cut = text.slice(0, HEAD_LETTERS);
  let [best, most] = [undefined as string | undefined, HEAD_LEAST - 1];
  for (const mark of DELIMITERS) {
    if (!cut.includes(mark)) continue;
    const read = csvRows(cut.split(/\r\n|\r|\n/, 2 * HEAD_ROWS).join('\n'), mark);
    if (!read.ok) continue;
    const { understood } = headOf(read.value.rows, meanings);
    if (understood > most) [best, most] = [mark, understood];
  }
  return best;
}

/** The cells of a column that are not empty, as many as are looked at. */
function sampleOf(rows: readonly ListRow[], at: number): readonly string[] {
  const cells: string[] = [];
  for (const { cells: all } of rows) {
    const cell = (all[at] ?? '').trim();
    if (cell !== '') cells.push(cell);
    if (cells.length >= SAMPLE) break;
  }
  return cells;
}

/** Share of a column's cells that must be of a kind for the column to be taken for it by them alone. */
const OF_A_KIND = 0.8;

const mostly = (cells: readonly string[], is: (cell: string) => boolean) =>
  cells.length > 0 && cells.filter(is).length >= OF_A_KIND * cells.length;

/** A weight with its unit behind it, whatever the decimal mark is. */
const isWeighed = (cell: string) =>
  /[a-z]/i.test(cell) && DECIMAL_MARKS.some((mark) => weightOf(cell, mark, NaN) !== null);

/** Tests by which cells alone show what a column is, by column. */
const BY_CELLS: Readonly<Record<string, (cell: string, hops: KnownHops | undefined) => boolean>> = {
  hop: (cell, hops) => hops !== undefined && tableName(cell, hops) !== undefined,
  grams_on_hand: isWeighed,
  grams: isWeighed,
  unit: (cell) => gramsOf(plain(cell)) !== undefined,
  form: (cell) => isValueOf('form', cell),
  pack: isPacking,
  stage: (cell) => !/^[\d.,\s]+$/.test(cell) && readStage(cell).ok,
};

/** One way to see what a column may mean. */
type Way = (header: string, at: number) => readonly ColumnMeaning[];

/** Weights whose head names no unit. */
const isWeight = (id: string) => id === 'grams_on_hand' || id === 'grams';

/** Whether the header of a column and its cells agree. */
function agrees(
  { column }: ColumnMeaning,
  cells: readonly string[],
  hops: KnownHops | undefined,
): boolean {
  if (cells.length === 0) return true;
  // A product is a form in one list and a variety with its form in another.
  if (column === 'form' && mostly(cells, (cell) => BY_CELLS['hop']!(cell, hops))) return false;
  if (column === 'form' || column === 'pack') return cells.some((cell) => isValueOf(column, cell));
  // "Opened: yes" gives no day.
  if (column === 'opened_on') return cells.some((cell) => /\d/.test(cell));
  return true;
}

/**
 * What the columns mean: by their headers as a whole; then by the known words of a header, by the cells, or by a unit
 * alone, each only where no other column is taken for it.
 */
function columnsOf(
  headers: readonly string[],
  rows: readonly ListRow[],
  meanings: readonly ColumnMeaning[],
  hops: KnownHops | undefined,
): (ColumnMeaning | null)[] {
  const known = (ids: readonly string[]) =>
    ids.flatMap((id) => meanings.find((meaning) => meaning.id === id) ?? []);
  const found: (ColumnMeaning | null)[] = headers.map(() => null);
  const samples = headers.map((_, at) => sampleOf(rows, at));
  const isTaken = (column: string) => found.some((meaning) => meaning?.column === column);
  const byHead: Way = (header) => [headerMeaning(header, meanings) ?? []].flat();
  const byWords: Way = (header, at) =>
    known(looseMeaningsOf(header)).filter(
      ({ id }) => !isWeight(id) || mostly(samples[at]!, isWeighed),
    );
  const byCells: Way = (_, at) =>
    Object.entries(BY_CELLS).flatMap(([id, is]) =>
      !isTaken(id) && mostly(samples[at]!, (cell) => is(cell, hops)) ? known([id]) : [],
    );
  const byUnit: Way = (header) => known(unitMeaningsOf(header));
  for (const way of [byHead, byWords, byCells, byUnit]) {
    headers.forEach((header, at) => {
      if (found[at] || header.length > HEADER_MAX) return;
      found[at] =
        way(header, at).find(
          (meaning) => !isTaken(meaning.column) && agrees(meaning, samples[at]!, hops),
        ) ?? null;
    });
  }
  // Times in which the stage is named as well: "var 60 min".
  const timeAt = found.findIndex((meaning) => meaning?.column === 'time');
  const [stage] = known(['stage']);
  if (stage && timeAt >= 0 && !found.some((meaning) => meaning?.column === 'stage')) {
    if (mostly(samples[timeAt]!, (cell) => BY_CELLS['stage']!(cell, hops))) found[timeAt] = stage;
  }
  // Where the weight on hand is given, the size of packs adds nothing; a lot to be bought has no weight on hand.
  const packages = found.findIndex((m) => m?.column === 'package_g');
  const onHand = found.findIndex((m) => m?.column === 'grams_on_hand');
  if (packages >= 0 && onHand >= 0 && headers[packages]!.trim() !== 'package_g') {
    const given = (at: number, { cells }: ListRow) => (cells[at] ?? '').trim() !== '';
    if (rows.some((row) => given(packages, row) && given(onHand, row))) found[packages] = null;
  }
  return found;
}

/** Shares of one, as spreadsheets hold percentages: every figure of the column begins with a nought. */
const SHARE = /^0?[.,]\d+$/;
/** Largest figure taken for a share: no hop has more than 35 % of these acids, and none as little as 0.35 %. */
const SHARE_MAX = 0.35;

/** The meanings with alpha and beta as shares of one where every figure of their column is one. */
function withShares(
  headers: readonly string[],
  rows: readonly ListRow[],
  columns: readonly (ColumnMeaning | null)[],
  meanings: readonly ColumnMeaning[],
): (ColumnMeaning | null)[] {
  return columns.map((known, at) => {
    const share = known && meanings.find(({ id }) => id === `${known.id} (share of 1)`);
    if (!share || headers[at]!.trim() === known.id) return known;
    const cells = rows.flatMap(({ cells: all }) => (all[at] ?? '').trim() || []);
    const small = (cell: string) => SHARE.test(cell) && Number(cell.replace(',', '.')) < SHARE_MAX;
    return cells.length > 0 && cells.every((cell) => cell.length < 20 && small(cell))
      ? share
      : known;
  });
}

/** Whether a row is a line of sums: what stands for its hop says so, or its first words where nothing does. */
function isSums({ cells }: ListRow, hopAt: number): boolean {
  const hop = (cells[hopAt] ?? '').trim();
  return isSum(hop || (cells.find((cell) => cell.trim() !== '')?.trim() ?? ''));
}

/**
 * Finds the list in a text. Fails where its cells cannot be separated; an empty text is a list without headers and
 * rows.
 * @param hops the hop table, by which a column of varieties is recognised under any header.
 */
export function listIn(
  text: string,
  meanings: readonly ColumnMeaning[],
  hops?: KnownHops,
): Outcome<FoundList> {
  const read = csvRows(text, likelyDelimiter(text, meanings));
  if (!read.ok) return read;
  const { rows: all, delimiter } = read.value;
  const head = headOf(all, meanings);
  const headers = (all[head.row]?.cells ?? []).map((cell) => cell.trim());
  const below = all.slice(head.row + 1);
  const columns = columnsOf(headers, below, meanings, hops);
  const hopAt = columns.findIndex((m) => m?.column === 'hop');
  const rows = below.filter((row) => !isSums(row, hopAt));
  const sums = below.filter((row) => isSums(row, hopAt)).map(({ line }) => line);
  const shared = withShares(headers, rows, columns, meanings);
  return success({
    headers,
    meanings: shared,
    rows,
    delimiter,
    line: all[head.row]?.line ?? 1,
    above: head.row,
    sums,
  });
}
