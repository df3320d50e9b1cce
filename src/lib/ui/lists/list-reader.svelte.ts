// A list on its way in, whatever its rows are read to: its columns, what each is taken for, the rows as
// corrected, what they come to and what is wrong with them. Nothing is taken here.
import { csvRows, type ListRow } from '#shared/lists/csv.ts';
import type { FormId } from '#shared/ids.ts';
import { matchHeaders, type ColumnMeaning } from '#shared/lists/lot-columns.ts';
import {
  decimalMarksOf,
  doubtWords,
  holdsFigures,
  type DecimalMark,
  type ListReading,
  type ReadRow,
} from '#shared/lists/lot-list.ts';
import { advice, sentence, type Problem } from '#shared/outcome.ts';
import { TOLD_MAX } from '#shared/reading/problems.ts';
import { textOfFile } from '#state/documents/text-file.ts';

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
  /** Takes a text that is no list; says whether it was one of those. */
  readonly document?: (text: string) => boolean;
}

/** A cell, or a row, that cannot be read. */
interface BadCell {
  readonly line: number;
  readonly problem: Problem;
  /** Index of the column; -1 for none. */
  readonly at: number;
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

  constructor(readonly kind: ListKind<T>) {}

  readonly #marks = $derived(
    decimalMarksOf(this.#came.rows, this.meanings.map(holdsFigures), this.#came.delimiter),
  );
  /** As chosen, else as the list shows; `null`: a person must say, then nothing is read. */
  readonly decimalMark = $derived(this.#chosenMark ?? this.#marks.mark);
  /** What hangs on the decimal mark while it is not known, in words. */
  readonly doubt = $derived(
    this.decimalMark === null && this.#marks.mark === null
      ? `In line ${this.#marks.doubtful.line} ${doubtWords(this.#marks.doubtful)}`
      : null,
  );

  readonly #chosen = $derived(this.meanings.flatMap((m) => (m ? [m.column] : [])));
  /** Columns that two headers are taken for. */
  readonly twice = $derived(this.#chosen.filter((column, i) => this.#chosen.indexOf(column) < i));
  /** Columns that no header is taken for and that there must be. */
  readonly lacking = $derived.by(() =>
    Object.keys(this.kind.needed).filter((column) => !this.#chosen.some((c) => c === column)),
  );
  readonly #read: readonly ReadRow<T>[] = $derived.by(() => {
    const { meanings, decimalMark, form } = this;
    if (this.lacking.length > 0 || this.twice.length > 0 || decimalMark === null) return [];
    return this.rows.map((row) => this.kind.read(row, { meanings, decimalMark, form }));
  });
  readonly items: readonly T[] = $derived(
    this.#read.flatMap(({ outcome }) => (outcome.ok ? [outcome.value] : [])),
  );
  readonly #bad: readonly BadCell[] = $derived(
    this.#read.flatMap(({ outcome, at, line }) =>
      outcome.ok ? [] : outcome.problems.map((problem, i) => ({ line, problem, at: at[i] ?? -1 })),
    ),
  );
  /** What is wrong, as much of it as a person can look at; the rest is counted. */
  readonly bad = $derived(this.#bad.slice(0, TOLD_MAX));
  readonly badUntold = $derived(this.#bad.length - this.bad.length);
  readonly badRows = $derived(this.#read.length - this.items.length);

  take(text: string, told = ''): void {
    [this.headers, this.rows, this.meanings, this.about, this.faults] = [[], [], [], '', []];
    [this.#came, this.#chosenMark] = [{ rows: [], delimiter: ',' }, null];
    if (this.kind.document?.(text) || text.trim() === '') return;
    const outcome = csvRows(text);
    if (!outcome.ok) {
      this.faults = outcome.problems.map((p) => sentence('', p));
      return;
    }
    const [first, ...rest] = outcome.value.rows;
    const { noun, meanings } = this.kind;
    if (!first || rest.length === 0) {
      this.faults = [
        `There is no ${noun} in it: the first line names the columns, each further line is one ${noun}.`,
      ];
      return;
    }
    this.headers = first.cells.map((cell) => cell.trim());
    this.meanings = matchHeaders(this.headers, meanings);
    this.rows = rest;
    this.#came = { rows: rest, delimiter: outcome.value.delimiter };
    const delimiter = DELIMITER_NAMES[outcome.value.delimiter] ?? outcome.value.delimiter;
    this.about = `${rest.length} lines${told}, cells parted by ${delimiter}.`;
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

  correct(line: number, at: number, cell: string): void {
    this.rows = this.rows.map((row) =>
      row.line === line
        ? { line, cells: this.meanings.map((_, i) => (i === at ? cell : (row.cells[i] ?? ''))) }
        : row,
    );
  }
}
