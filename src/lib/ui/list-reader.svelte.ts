// A list on its way in, whatever its rows are read to: its columns, what each is taken for, the rows as
// corrected, what they come to and what is wrong with them. Nothing is taken here.
import { csvRows, type ListRow } from '#shared/csv.ts';
import type { FormId } from '#shared/ids.ts';
import { matchHeaders, type ColumnMeaning } from '#shared/lot-columns.ts';
import {
  decimalMarkOf,
  type DecimalMark,
  type ListReading,
  type ReadRow,
} from '#shared/lot-list.ts';
import { advice, sentence, type Problem } from '#shared/outcome.ts';
import { textOfFile } from '#state/text-file.ts';

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

export class ListReader<T> {
  about = $state('');
  faults = $state.raw<readonly string[]>([]);
  headers = $state.raw<readonly string[]>([]);
  rows = $state.raw<readonly ListRow[]>([]);
  meanings = $state.raw<readonly (ColumnMeaning | null)[]>([]);
  decimalMark = $state<DecimalMark>('point');
  form = $state<FormId>('pellet_90');

  constructor(readonly kind: ListKind<T>) {}

  readonly #chosen = $derived(this.meanings.flatMap((m) => (m ? [m.column] : [])));
  /** Columns that two headers are taken for. */
  readonly twice = $derived(this.#chosen.filter((column, i) => this.#chosen.indexOf(column) < i));
  /** Columns that no header is taken for and that there must be. */
  readonly lacking = $derived.by(() =>
    Object.keys(this.kind.needed).filter((column) => !this.#chosen.some((c) => c === column)),
  );
  readonly #read = $derived(
    this.lacking.length === 0 && this.twice.length === 0
      ? this.rows.map((row) =>
          this.kind.read(row, {
            meanings: this.meanings,
            decimalMark: this.decimalMark,
            form: this.form,
          }),
        )
      : [],
  );
  readonly items: readonly T[] = $derived(
    this.#read.flatMap(({ outcome }) => (outcome.ok ? [outcome.value] : [])),
  );
  readonly bad: readonly {
    readonly line: number;
    readonly problem: Problem;
    readonly at: number;
  }[] = $derived(
    this.#read.flatMap(({ outcome, at, line }) =>
      outcome.ok ? [] : outcome.problems.map((problem, i) => ({ line, problem, at: at[i] ?? -1 })),
    ),
  );
  readonly badRows = $derived(this.#read.length - this.items.length);

  take(text: string, told = ''): void {
    [this.headers, this.rows, this.meanings, this.about, this.faults] = [[], [], [], '', []];
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
    this.decimalMark = decimalMarkOf(rest, this.meanings);
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

  correct(line: number, at: number, cell: string): void {
    this.rows = this.rows.map((row) =>
      row.line === line
        ? { line, cells: this.meanings.map((_, i) => (i === at ? cell : (row.cells[i] ?? ''))) }
        : row,
    );
  }
}
