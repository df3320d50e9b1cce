// Stock lists and hop schedules as people export them: in five languages, with titles, sums, units, typing
// errors and odd encodings. Beside each file stands what it must be read to. Nearly every row is read without
// help and right; of the others the reader says what is wrong, and what it offers or asks for mends them.
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { ADDITION_MEANINGS, LOT_MEANINGS } from '#shared/lists/lot-columns.ts';
import { readRow, type ListedLot } from '#shared/lists/lot-list.ts';
import { readAddition, type ListedAddition } from '#shared/lists/schedule-list.ts';
import { stockModel } from '#state/stock/stock-model.ts';
import { ListReader, type ListKind } from '#ui/lists/list-reader.svelte.ts';

/** Rows that must be read without help and right, of all. */
const SHARE_LEAST = 0.95;

const stock = stockModel(null);

type Row = Readonly<Record<string, unknown>>;
/** What a row must be read to; `asked`: a person may be asked, by the cell of that field. */
interface Wanted {
  readonly row: Row;
  readonly asked?: string;
  /** What a person writes into the cell where nothing that is offered is right. */
  readonly cell?: string;
}
/** What a person answers where a list does not say it. */
interface Answers {
  readonly beer_l?: number;
  readonly mark?: 'point' | 'comma';
  readonly order?: 'day' | 'month';
}

function wantedOf(path: URL): { answers: Answers; wanted: Wanted[] } {
  const lines = readFileSync(path, 'utf8').trim().split('\n');
  const all = lines.map((line) => JSON.parse(line) as Row & { answers?: Answers });
  const wanted = all
    .filter((row) => !row.answers)
    .map(({ asked, cell, ...row }) => ({ row, ...(asked ? { asked, cell } : {}) }) as Wanted);
  return { answers: all.find((row) => row.answers)?.answers ?? {}, wanted };
}

/** A lot in one level, as it is written beside the files. */
function flatLot({ analysis, note: _, out_of_stock, ...lot }: ListedLot): Row {
  return { ...lot, ...analysis, ...(out_of_stock && { out_of_stock }) };
}
function flatAddition({ addition: { analysis, ...addition }, stage }: ListedAddition): Row {
  return { ...addition, ...analysis, kind: stage.kind, ...stage.conditions };
}

/** Whether a row was read to what stands beside the file; figures to a part in ten thousand. */
function isRight(read: Row, wanted: Row): boolean {
  // A practice brings a usual temperature of its own.
  return Object.entries(wanted).every(([field, value]) => {
    const found = read[field];
    if (typeof value !== 'number') return found === value;
    return typeof found === 'number' && Math.abs(found - value) <= 1e-4 * Math.abs(value);
  });
}
/** Fields that were read and that nobody wrote. */
const strayOf = (read: Row, wanted: Row) =>
  Object.keys(read).filter((field) => !(field in wanted) && field !== 'form' && field !== 'temp_c');

interface Counted {
  readonly files: number;
  readonly rows: number;
  readonly unaided: number;
  readonly wrong: readonly string[];
  readonly unmended: readonly string[];
}

async function readFiles<T>(
  folder: string,
  kindOf: (beerL: () => number | undefined) => ListKind<T>,
  flat: (item: T) => Row,
  part: (name: string) => boolean = () => true,
): Promise<Counted> {
  let [files, rows, unaided] = [0, 0, 0];
  const [wrong, unmended]: string[][] = [[], []];
  const root = new URL(`./imports/${folder}/`, import.meta.url);
  for (const name of readdirSync(root).sort()) {
    if (name.endsWith('.jsonl') || !part(name)) continue;
    const { answers, wanted } = wantedOf(new URL(name.replace(/\.\w+$/, '.want.jsonl'), root));
    const reader = new ListReader(kindOf(() => answers.beer_l));
    await reader.takeFile(new File([readFileSync(new URL(name, root))], name));
    files += 1;
    rows += wanted.length;
    const first = reader.items.map(flat);
    // What was read without help stands in the order of the file.
    let next = 0;
    for (const item of first) {
      const at = wanted.findIndex(({ row }, i) => i >= next && isRight(item, row));
      if (at < 0 || strayOf(item, wanted[at]!.row).length > 0) {
        wrong!.push(
          `${name}: ${JSON.stringify(item)} ${at < 0 ? '' : strayOf(item, wanted[at]!.row).join()}`,
        );
        continue;
      }
      next = at + 1;
      unaided += 1;
    }
    const said = () =>
      reader.bad.map(({ problem }) => `${problem.path}: ${problem.message}. ${problem.cure}`);
    if (reader.decimalMark === null) reader.chooseMark(answers.mark ?? null);
    if (reader.dateOrder === null) reader.chooseOrder(answers.order ?? null);
    // One press or one word for each cell that is asked about.
    for (let presses = 0; reader.bad.length > 0 && presses < wanted.length; presses += 1) {
      const [bad] = reader.bad;
      const rowAt = reader.rows.findIndex(({ line }) => line === bad!.line);
      const { row, asked, cell } = wanted[rowAt]!;
      const meant = asked === 'hop' ? String(row['hop']) : cell;
      if (asked === undefined || meant === undefined) break;
      if (bad!.instead.includes(meant)) reader.correctAll(bad!.at, bad!.cell, meant);
      else reader.correct(bad!.line, bad!.at, meant);
    }
    const mended = reader.items.map(flat);
    wanted.forEach(({ row }, i) => {
      if (!mended[i] || !isRight(mended[i], row))
        unmended!.push(
          `${name}: ${JSON.stringify(row)} is ${JSON.stringify(mended[i])}; ${said().join(' ')}`,
        );
    });
  }
  return { files, rows, unaided, wrong: wrong!, unmended: unmended! };
}

const lots = (): ListKind<ListedLot> => ({
  noun: 'lot',
  meanings: LOT_MEANINGS,
  needed: { hop: 'the variety' },
  file: 'a list saved as CSV',
  read: (row, reading) => readRow(row, reading, stock.problemsOf),
  hops: () => stock.hops,
});
const additions = (beerL: () => number | undefined): ListKind<ListedAddition> => ({
  noun: 'addition',
  meanings: ADDITION_MEANINGS,
  needed: { hop: 'the variety', stage: 'where it goes in', grams: 'the weight' },
  file: 'a schedule saved as CSV',
  read: (row, reading) => readAddition(row, reading, stock.problemsOf),
  hops: () => stock.hops,
  beerL,
});

describe.each([
  ['stock lists', 60, () => readFiles('lists', lots, flatLot)],
  ['schedules', 40, () => readFiles('schedules', additions, flatAddition)],
] as const)('%s as people export them', (_, least, read) => {
  it('are read, nearly every row without help, none wrong, and the rest as it is mended', async () => {
    const { files, rows, unaided, wrong, unmended } = await read();
    expect(files).toBeGreaterThanOrEqual(least);
    expect(wrong).toEqual([]);
    expect(unmended).toEqual([]);
    expect(unaided / rows).toBeGreaterThanOrEqual(SHARE_LEAST);
  });
});
