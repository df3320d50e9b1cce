// Reduced costs of all columns at given weights of rows, from the vectors the rows are made of: many rows
// share them, so no row need be written out over columns that no program holds.
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { RowPool, ScaledRow } from './relaxation.ts';

/** The entries of columns in dry hops, or of all others, in the vectors that are not zero for them. */
interface ColumnKind {
  /** Vectors, by number, of the entries. */
  readonly vectors: number[];
  /** Entries of the k-th column of the kind from k * vectors.length. */
  entries: Float64Array;
  weights: Float64Array;
}

/** Where the entries of the columns lie: the same for all programs of one pool of rows. */
interface Layout {
  readonly numberOf: ReadonlyMap<Float64Array, number>;
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
    return { vectors, entries, weights: new Float64Array(vectors.length) };
  };
  const layout: Layout = { numberOf, kinds: [kindOf(0), kindOf(1)], place };
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
    const { reduced, dry } = this;
    const { numberOf, kinds, place } = this.layout;
    const total = this.weights;
    total.fill(0);
    for (let i = 0; i < rows.length; i += 1) {
      const weight = weights[i]!;
      if (weight === 0) continue;
      const { scale, form } = rows[i]!;
      for (let v = 0; v < form.vectors.length; v += 1) {
        const number = numberOf.get(form.vectors[v]!);
        if (number !== undefined) total[number]! += weight * scale * form.factors[v]!;
      }
    }
    for (const kind of kinds) kind.vectors.forEach((v, at) => (kind.weights[at] = total[v]!));
    const [other, dried] = kinds;
    for (let k = 0; k < count; k += 1) {
      const j = columns[k]!;
      const kind = dry[j] === 1 ? dried : other;
      const { entries, weights: own } = kind;
      const at = place[j]!;
      let sum = cost === null ? 0 : cost[j]!;
      for (let v = 0; v < own.length; v += 1) sum -= own[v]! * entries[at + v]!;
      reduced[j] = sum;
    }
    for (let i = 0; i < rows.length; i += 1) {
      const weight = weights[i]!;
      if (weight === 0) continue;
      const { source, scale, form } = rows[i]!;
      for (const [j, a] of source.members ?? []) reduced[j]! -= weight * scale * a;
      // Rows that came later are few, each with a vector of its own.
      for (let v = 0; v < form.vectors.length; v += 1) {
        const vector = form.vectors[v]!;
        if (numberOf.has(vector)) continue;
        const factor = weight * scale * form.factors[v]!;
        for (let k = 0; k < count; k += 1) reduced[columns[k]!]! -= factor * vector[columns[k]!]!;
      }
    }
  }
}
