// A list on its way in, whatever its rows are read to: its columns, what each is taken for, the rows as
// corrected, what they come to and what is wrong with them. Nothing is taken here.
import type { ListRow } from '#shared/lists/csv.ts';
import type { FormId } from '#shared/ids.ts';
import { dateDoubtWords, dateOrdersOf, type DateOrder } from '#shared/lists/date-words.ts';
import { decimalMarksOf, doubtWords, type DecimalMark } from '#shared/lists/figures.ts';
import type { KnownHops } from '#shared/lists/hop-names.ts';
import { listIn } from '#shared/lists/list.ts';
import type { ColumnMeaning } from '#shared/lists/lot-columns.ts';
import { holdsFigures, insteadOf, type ListReading, type ReadRow } from '#shared/lists/lot-list.ts';
import { advice, sentence, type Problem } from '#shared/outcome.ts';
import { PROBLEMS_MAX } from '#shared/reading/problems.ts';
import { textOfFile } from '#shared/reading/text-file.ts';

const DELIMITER_NAMES: Readonly<Record<string, string>> = {
  ',': 'commas',
  ';': 'semicolons',
  '\t': 'tabs',
  '|': 'bars',
};

/** What a list is read to. */
export interface ListKind<T> {
  /** "lot", "addition". */
  readonly noun: string;
  readonly meanings: readonly ColumnMeaning[];
  /** Columns there must be, with what each is in words. */
  readonly needed: Readonly<Record<string, string>>;
  /** What can be chosen, for one who chose something else: "a list saved as CSV". */
  readonly file: string;
  readonly read: (row: ListRow, reading: ListReading) => ReadRow<T>;
  /** The hop table, once it is loaded. */
  readonly hops: () => KnownHops | undefined;
  /** Beer that doses per litre are for, L, once a person said it. */
  readonly beerL?: () => number | undefined;
  /** Takes a text that is no list; says whether it was one of those. */
  readonly document?: (text: string) => boolean;
}

/** A cell, or a row, that cannot be read. */
interface BadCell {
  readonly line: number;
  readonly problem: Problem;
  /** Index of the column; -1 for none. */
  readonly at: number;
  /** What stands in the cell, and what could stand there instead. */
  readonly cell: string;
  readonly instead: readonly string[];
  /** A name that may be a hop of its own. */
  readonly nameAsked: boolean;
}

export class ListReader<T> {
  about = $state('');
  faults = $state.raw<readonly string[]>([]);
  headers = $state.raw<readonly string[]>([]);
  rows = $state.raw<readonly ListRow[]>([]);
  meanings = $state.raw<readonly (ColumnMeaning | null)[]>([]);
  form = $state<FormId>('pellet_90');

  /** The list as it came in: what is corrected in it must not change how the rest is read. */
  #came = $state.raw<{ rows: readonly ListRow[]; delimiter: string }>({ rows: [], delimiter: ',' });
  #chosenMark = $state<DecimalMark | null>(null);
  #chosenOrder = $state<DateOrder | null>(null);
  #ownHops = $state.raw<ReadonlySet<string>>(new Set());

  constructor(readonly kind: ListKind<T>) {}

  readonly #marks = $derived(
    decimalMarksOf(this.#came.rows, this.meanings.map(holdsFigures), this.#came.delimiter),
  );
  /** As chosen, else as the list shows; `null`: a person must say, then nothing is read. */
  readonly decimalMark = $derived(this.#chosenMark ?? this.#marks.mark);
  readonly #dates = $derived(
    dateOrdersOf(
      this.#came.rows,
      this.meanings.findIndex((m) => m?.column === 'opened_on'),
    ),
  );
  /** What comes first in dates with strokes: as chosen, else as the list shows; `null`: a person must say. */
  readonly dateOrder = $derived(this.#chosenOrder ?? this.#dates.order);
  /** Whether a person had or has to say it. */
  readonly datesAsked = $derived(this.#dates.order === null);
  /** What hangs on the decimal mark, or on the order of dates, while it is not known, in words. */
  readonly doubts: readonly string[] = $derived.by(() => {
    const doubts: string[] = [];
    if (this.decimalMark === null && this.#marks.mark === null) {
      const { doubtful } = this.#marks;
      doubts.push(`In line ${doubtful.line} ${doubtWords(doubtful)}. Choose the decimal mark.`);
    }
    if (this.dateOrder === null && this.#dates.order === null) {
      const { doubtful } = this.#dates;
      doubts.push(`In line ${doubtful.line} ${dateDoubtWords(doubtful)}. Choose what comes first.`);
    }
    return doubts;
  });

  readonly #chosen = $derived(this.meanings.flatMap((m) => (m ? [m.column] : [])));
  /** Columns that two headers are taken for. */
  readonly twice = $derived(this.#chosen.filter((column, i) => this.#chosen.indexOf(column) < i));
  /** Columns that no header is taken for and that there must be. */
  readonly lacking = $derived.by(() =>
    Object.keys(this.kind.needed).filter((column) => !this.#chosen.some((c) => c === column)),
  );
  /** How the rows are read; `null` while something must be said first. */
  readonly #reading: ListReading | null = $derived.by(() => {
    const { meanings, headers, decimalMark, form, dateOrder } = this;
    if (this.lacking.length > 0 || this.twice.length > 0) return null;
    if (decimalMark === null || dateOrder === null) return null;
    const hops = this.kind.hops();
    const beerL = this.kind.beerL?.();
    const ownHops = this.#ownHops;
    return {
      meanings,
      headers,
      decimalMark,
      form,
      dateOrder,
      ownHops,
      beerL,
      ...(hops && { hops }),
    };
  });
  readonly #read: readonly ReadRow<T>[] = $derived.by(() => {
    const reading = this.#reading;
    return reading ? this.rows.map((row) => this.kind.read(row, reading)) : [];
  });
  readonly items: readonly T[] = $derived(
    this.#read.flatMap(({ outcome }) => (outcome.ok ? [outcome.value] : [])),
  );
  readonly #faults: readonly Omit<BadCell, 'cell' | 'instead'>[] = $derived(
    this.#read.flatMap(({ outcome, at, line, nameAsked = false }) =>
      outcome.ok
        ? []
        : outcome.problems.map((problem, i) => ({ line, problem, at: at[i] ?? -1, nameAsked })),
    ),
  );
  /** What is wrong, as much of it as a person can look at; the rest is counted. */
  readonly bad: readonly BadCell[] = $derived.by(() => {
    const rows = new Map(this.rows.map((row) => [row.line, row.cells]));
    return this.#faults.slice(0, PROBLEMS_MAX).map((fault): BadCell => {
      const cell = (rows.get(fault.line)?.[fault.at] ?? '').trim();
      const [meaning, reading] = [this.meanings[fault.at], this.#reading];
      const instead = meaning && reading && cell !== '' ? insteadOf(cell, meaning, reading) : [];
      return { ...fault, cell, instead };
    });
  });
  readonly furtherBad = $derived(this.#faults.length - this.bad.length);
  readonly badRows = $derived(this.#read.length - this.items.length);

  take(text: string, source = ''): void {
    [this.headers, this.rows, this.meanings, this.about, this.faults] = [[], [], [], '', []];
    this.#came = { rows: [], delimiter: ',' };
    [this.#chosenMark, this.#chosenOrder, this.#ownHops] = [null, null, new Set()];
    if (this.kind.document?.(text) || text.trim() === '') return;
    const outcome = listIn(text, this.kind.meanings, this.kind.hops());
    if (!outcome.ok) {
      this.faults = outcome.problems.map((p) => sentence('', p));
      return;
    }
    const { headers, meanings, rows, delimiter, above, sums } = outcome.value;
    const { noun } = this.kind;
    if (rows.length === 0) {
      this.faults = [
        `There is no ${noun} in it: the first line names the columns, each further line is one ${noun}.`,
      ];
      return;
    }
    [this.headers, this.meanings, this.rows] = [headers, meanings, rows];
    this.#came = { rows, delimiter };
    const parted = DELIMITER_NAMES[delimiter] ?? delimiter;
    const lines = (count: number) => `${count} ${count === 1 ? 'line' : 'lines'}`;
    const left = [
      ...(above > 0 ? [`${lines(above)} above the names of the columns`] : []),
      ...(sums.length > 0 ? [`${lines(sums.length)} of sums`] : []),
    ];
    const leftOut = left.length > 0 ? ` Left out: ${left.join(', ')}.` : '';
    this.about = `${lines(rows.length)}${source}, cells parted by ${parted}.${leftOut}`;
  }

  async takeFile(file: File | undefined): Promise<void> {
    if (!file) return;
    try {
      const read = textOfFile(new Uint8Array(await file.arrayBuffer()), this.kind.file);
      // A field left empty needs no word; a file without any was chosen by mistake.
      this.take(read.ok ? read.value.text : '', read.ok ? ` in ${read.value.encoding}` : '');
      if (!read.ok) this.faults = read.problems.map((p) => advice(p));
      else if (read.value.text.trim() === '')
        this.faults = [`this file is empty. Choose ${this.kind.file}.`];
    } catch {
      this.take('');
      this.faults = [`${file.name} could not be read from this device. Choose it again.`];
    }
  }

  /** Takes a column for something else, or for nothing. */
  mean(at: number, id: string): void {
    const known = this.kind.meanings.find((m) => m.id === id) ?? null;
    this.meanings = this.meanings.map((m, i) => (i === at ? known : m));
  }

  /** Takes a decimal mark that a person names; `null`: the one the list shows. */
  chooseMark(mark: DecimalMark | null): void {
    this.#chosenMark = mark;
  }

  /** Takes what comes first in dates with strokes, as a person says it. */
  chooseOrder(order: DateOrder | null): void {
    this.#chosenOrder = order;
  }

  /** Takes a name for that of a hop of its own, in every line that has it. */
  keepName(name: string): void {
    this.#ownHops = new Set([...this.#ownHops, name]);
  }

  correct(line: number, at: number, cell: string): void {
    this.rows = this.rows.map((row) => (row.line === line ? this.#with(row, at, cell) : row));
  }

  /** Writes a cell anew in every line where it says the same. */
  correctAll(at: number, from: string, to: string): void {
    this.rows = this.rows.map((row) =>
      (row.cells[at] ?? '').trim() === from ? this.#with(row, at, to) : row,
    );
  }

  #with({ line, cells }: ListRow, at: number, cell: string): ListRow {
    return { line, cells: this.meanings.map((_, i) => (i === at ? cell : (cells[i] ?? ''))) };
  }
}
