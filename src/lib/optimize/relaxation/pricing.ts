// Reduced costs of all columns at given weights of rows, from the vectors the rows are made of: many rows
// share them, so no row need be written out over columns that no program holds.
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { RowPool, ScaledRow } from './relaxation.ts';
import type { RowSource } from './rows.ts';

/** The entries of columns in dry hops, or of all others, in the vectors that are not zero for them. */
interface ColumnKind {
  /** Vectors, by number, of the entries. */
  readonly vectors: readonly number[];
  /** Entries of the k-th column of the kind from k * vectors.length. */
  readonly entries: Float64Array;
  /** Of the vectors that have a weight at hand, the first `count`: their places among the entries, and the weights. */
  readonly weighed: Int32Array;
  readonly weights: Float64Array;
  count: number;
}

/** Where the entries of the columns lie: the same for all programs of one pool of rows. */
interface Layout {
  readonly numberOf: ReadonlyMap<Float64Array, number>;
  /** Numbers of the vectors of each source of rows; -1 for one that came later. */
  readonly numbers: WeakMap<RowSource, Int32Array>;
  /** Columns in the dry hop, and all others. */
  readonly kinds: readonly [ColumnKind, ColumnKind];
  /** Where the entries of a column begin in its kind. */
  readonly place: Int32Array;
}

const layouts = new WeakMap<RowPool, Layout>();

function layoutOf({ columns, dry }: BlendProblem, pool: RowPool): Layout {
  const known = layouts.get(pool);
  if (known) return known;
  const n = columns.length;
  const place = new Int32Array(n);
  const all = [...pool.vectors()];
  const numberOf = new Map(all.map((vector, v) => [vector, v]));
  const kindOf = (wanted: 0 | 1): ColumnKind => {
    const members: number[] = [];
    for (let j = 0; j < n; j += 1) if (dry[j] === wanted) members.push(j);
    const vectors = [...all.keys()].filter((v) => members.some((j) => all[v]![j] !== 0));
    const width = vectors.length;
    const entries = new Float64Array(members.length * width);
    members.forEach((j, k) => (place[j] = k * width));
    vectors.forEach((v, at) => {
      const vector = all[v]!;
      for (let k = 0; k < members.length; k += 1) entries[k * width + at] = vector[members[k]!]!;
    });
    const weighed = new Int32Array(width);
    return { vectors, entries, weighed, weights: new Float64Array(width), count: 0 };
  };
  const layout: Layout = {
    numberOf,
    numbers: new WeakMap(),
    kinds: [kindOf(0), kindOf(1)],
    place,
  };
  layouts.set(pool, layout);
  return layout;
}

export class Pricing {
  /** After `price`: by column, for the columns priced. */
  readonly reduced: Float64Array;
  private readonly dry: Float64Array;
  private readonly weights: Float64Array;
  private readonly layout: Layout;

  constructor(problem: BlendProblem, pool: RowPool) {
    this.dry = problem.dry;
    this.reduced = new Float64Array(problem.columns.length);
    this.layout = layoutOf(problem, pool);
    this.weights = new Float64Array(this.layout.numberOf.size);
  }

  /** Numbers gone through for one column, at most. */
  get width(): number {
    return Math.max(...this.layout.kinds.map((kind) => kind.vectors.length)) + 1;
  }

  /**
   * Sets `reduced` to cost - sum over rows of weight * row, for the first `count` of `columns`.
   * @param cost by column; `null` for none.
   * @param rows the rows as they are.
   */
  price(
    columns: Int32Array,
    count: number,
    cost: Float64Array | null,
    rows: readonly ScaledRow[],
    weights: Float64Array,
  ): void {
    this.weigh(rows, weights);
    this.sumUp(columns, count, cost);
    const { reduced } = this;
    for (let i = 0; i < rows.length; i += 1) {
      const weight = weights[i]!;
      if (weight === 0) continue;
      const { source, scale, form } = rows[i]!;
      if (source.members) {
        for (const [j, a] of source.members) reduced[j]! -= weight * scale * a;
        continue;
      }
      // Rows that came later are few, each with a vector of its own.
      const numbers = this.numbersOf(source);
      for (let v = 0; v < numbers.length; v += 1) {
        if (numbers[v]! >= 0) continue;
        const vector = form.vectors[v]!;
        const factor = weight * scale * form.factors[v]!;
        for (let k = 0; k < count; k += 1) reduced[columns[k]!]! -= factor * vector[columns[k]!]!;
      }
    }
  }

  /** Numbers of the vectors of a source in the layout. */
  private numbersOf(source: RowSource): Int32Array {
    const { numberOf, numbers } = this.layout;
    let found = numbers.get(source);
    if (!found) {
      found = Int32Array.from(source.vectors, (vector) => numberOf.get(vector) ?? -1);
      numbers.set(source, found);
    }
    return found;
  }

  /** Sums what the rows weigh by vector, and notes which vectors have a weight. */
  private weigh(rows: readonly ScaledRow[], weights: Float64Array): void {
    const total = this.weights;
    total.fill(0);
    for (let i = 0; i < rows.length; i += 1) {
      const weight = weights[i]!;
      if (weight === 0) continue;
      const { scale, form, source } = rows[i]!;
      const numbers = this.numbersOf(source);
      for (let v = 0; v < numbers.length; v += 1) {
        const number = numbers[v]!;
        if (number >= 0) total[number]! += weight * scale * form.factors[v]!;
      }
    }
    for (const kind of this.layout.kinds) {
      let count = 0;
      for (let at = 0; at < kind.vectors.length; at += 1) {
        const weight = total[kind.vectors[at]!]!;
        if (weight === 0) continue;
        kind.weighed[count] = at;
        kind.weights[count++] = weight;
      }
      kind.count = count;
    }
  }

  /** Sets `reduced` by what the vectors weigh. Vectors without a weight would take nothing off. */
  private sumUp(columns: Int32Array, count: number, cost: Float64Array | null): void {
    const { reduced, dry } = this;
    const { kinds, place } = this.layout;
    const [other, dried] = kinds;
    for (let k = 0; k < count; k += 1) {
      const j = columns[k]!;
      const { entries, weighed, weights, count: few } = dry[j] === 1 ? dried : other;
      const at = place[j]!;
      let sum = cost === null ? 0 : cost[j]!;
      for (let v = 0; v < few; v += 1) sum -= weights[v]! * entries[at + weighed[v]!]!;
      reduced[j] = sum;
    }
  }
}
