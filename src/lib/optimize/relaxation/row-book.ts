// The rows of a relaxation written out over the columns a program holds, kept by interval of loads for
// as long as there is room, and lengthened as columns come in.
import { NO_DOSES, sumOver, type Doses } from '#optimize/problem/doses.ts';
import type { RowPool, ScaledRow } from './relaxation.ts';
import type { CapChoice, LoadInterval, RowSource } from './rows.ts';

/** A row with its coefficients by column, as far as they are written. */
export interface WrittenRow extends ScaledRow {
  coef: Float64Array;
  filled: number;
}

/** Intervals whose rows are kept. */
const INTERVALS_KEPT = 256;

interface IntervalRows {
  readonly rows: (WrittenRow | undefined)[];
  /** By number of the row and of the sides of its caps. */
  readonly capped: Map<number, WrittenRow>;
}

const NOT_YET = new Float64Array(0);

const SIDES: readonly CapChoice[] = ['open', 'linear', 'capped'];

/** The sides of all caps as one number. */
function numberOf(caps: readonly CapChoice[]): number {
  let number = 0;
  for (let i = 0; i < caps.length; i += 1) {
    number = number * SIDES.length + SIDES.indexOf(caps[i]!);
  }
  return number;
}

export class RowBook {
  pool: RowPool;
  private readonly kept = new Map<LoadInterval, IntervalRows>();
  private readonly fixed: (WrittenRow | undefined)[] = [];
  /** The interval last asked for. */
  private last: { readonly interval: LoadInterval; readonly rows: IntervalRows } | null = null;
  /** The doses looked at, and what they make of the vectors last asked for: the rows of one wish share theirs. */
  private doses = NO_DOSES;
  private summed: readonly Float64Array[] | null = null;
  private readonly sums: number[] = [];

  /** @param pool of which the rows are; may be replaced by one that has more. */
  constructor(pool: RowPool) {
    this.pool = pool;
  }

  /** Forgets all rows: the columns are numbered anew. */
  clear(): void {
    this.kept.clear();
    this.last = null;
    this.fixed.length = 0;
  }

  private ofInterval(interval: LoadInterval): IntervalRows {
    if (this.last?.interval === interval) return this.last.rows;
    let rows = this.kept.get(interval);
    if (!rows) {
      if (this.kept.size >= INTERVALS_KEPT) this.kept.delete(this.kept.keys().next().value!);
      rows = { rows: [], capped: new Map() };
      this.kept.set(interval, rows);
    }
    this.last = { interval, rows };
    return rows;
  }

  /** The row of a source for an interval, not yet over any column. */
  row(
    r: number,
    interval: LoadInterval,
    caps: readonly CapChoice[],
    slackMost: number,
  ): WrittenRow {
    const source = this.pool.source(r);
    if (source.fixed) return (this.fixed[r] ??= this.made(source, interval, caps, slackMost));
    const { rows, capped } = this.ofInterval(interval);
    if (!source.capped) return (rows[r] ??= this.made(source, interval, caps, slackMost));
    const key = r * SIDES.length ** caps.length + numberOf(caps);
    let row = capped.get(key);
    if (!row) capped.set(key, (row = this.made(source, interval, caps, slackMost)));
    return row;
  }

  private made(
    source: RowSource,
    interval: LoadInterval,
    caps: readonly CapChoice[],
    slackMost: number,
  ): WrittenRow {
    const form = source.form(interval, slackMost, caps);
    const { scale, least, most } = this.pool.scaled(form, source);
    return { source, scale, least, most, form, coef: NOT_YET, filled: 0 };
  }

  /** Writes a row over the first `count` columns, the problem's column of each in `columnAt`. */
  write(row: WrittenRow, columnAt: Int32Array, count: number): Float64Array {
    if (row.filled >= count) return row.coef;
    if (row.coef.length < count) {
      const longer = new Float64Array(columnAt.length);
      longer.set(row.coef);
      row.coef = longer;
    }
    const { coef, scale, form, filled } = row;
    const { members } = row.source;
    if (members) {
      for (let s = filled; s < count; s += 1) coef[s] = (members.get(columnAt[s]!) ?? 0) * scale;
    }
    for (let v = 0; v < form.vectors.length; v += 1) {
      const factor = form.factors[v]! * scale;
      if (factor === 0) continue;
      const vector = form.vectors[v]!;
      for (let s = filled; s < count; s += 1) coef[s]! += factor * vector[columnAt[s]!]!;
    }
    row.filled = count;
    return coef;
  }

  /** Takes the doses that `violation` is then about. */
  look(doses: Doses): void {
    this.doses = doses;
    this.summed = null;
  }

  private sumsOf(vectors: readonly Float64Array[]): readonly number[] {
    if (vectors === this.summed) return this.sums;
    const { sums } = this;
    for (let v = 0; v < vectors.length; v += 1) sums[v] = sumOver(vectors[v]!, this.doses);
    this.summed = vectors;
    return sums;
  }

  /**
   * How far the doses are outside a row, as a share of the size of what they bring to it; below 0 inside.
   * @param lower bounds of the row, before scaling.
   */
  violation({ form, source: { members } }: ScaledRow, lower: number, upper: number): number {
    const { columns, doses } = this.doses;
    let activity = 0;
    let size = 0;
    if (members) {
      for (let k = 0; k < columns.length; k += 1) {
        activity += (members.get(columns[k]!) ?? 0) * doses[k]!;
      }
      size = Math.abs(activity);
    }
    const { vectors, factors } = form;
    const sums = this.sumsOf(vectors);
    for (let v = 0; v < vectors.length; v += 1) {
      const factor = factors[v]!;
      if (factor === 0) continue;
      activity += factor * sums[v]!;
      size += Math.abs(factor * sums[v]!);
    }
    return Math.max(lower - activity, activity - upper) / (size + 1e-6);
  }
}
