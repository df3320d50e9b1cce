// The linear rows that hold for every blend whose total dry-hop load lies in an interval, and that hold
// exactly when the interval is one load. A row may allow more
// than the blend problem does, never less, so every bound that follows from these rows is valid.
import { bitterSources } from './bitter-rows.ts';
import { limitIndexOf, limitName } from '#optimize/problem/limits.ts';
import { buyingIn } from '#optimize/problem/packages.ts';
import { leastOf, type BlendProblem, type LinearLimit } from '#optimize/problem/problem.ts';
import type { ColumnGroup } from './column-group.ts';
import type { Cut } from './package-cuts.ts';
import type { RowForm, RowSource } from './rows.ts';
import { axisSources } from './signal-rows.ts';

/** A row for one interval, scaled so that no coefficient is above 1. */
export interface ScaledRow {
  readonly source: RowSource;
  readonly scale: number;
  /** Least and most that all columns together can make of it. */
  readonly least: number;
  readonly most: number;
  readonly form: RowForm;
}

/** Largest size of a vector's entries, and how far down and up the largest doses can take it. */
interface Span {
  readonly size: number;
  readonly down: number;
  readonly up: number;
}

const PLAIN = { members: null, moving: null, capped: false, essential: false };

/** The row of a limit, the same at all loads. */
function limitSource(limit: LinearLimit): RowSource {
  const vectors = limit.only ? [] : [limit.coef];
  const form = { vectors, factors: vectors.map(() => 1), lower: -Infinity, upper: limit.most };
  const members = limit.only ?? null;
  return { ...PLAIN, name: limitName(limit.of), vectors, members, fixed: true, form: () => form };
}

/** A row over some columns, each with coefficient 1. */
function sumSource(name: string, columns: readonly number[], lower: number): RowSource {
  const members = new Map(columns.map((j) => [j, 1]));
  const form = { vectors: [], factors: [], lower, upper: Infinity };
  return { ...PLAIN, name, vectors: [], members, fixed: true, form: () => form };
}

const pools = new WeakMap<BlendProblem, RowPool>();

/** Rows that hold for whole packages, the same at all loads: coef.x >= 1. */
function cutSource({ coef }: Cut): RowSource {
  const form = { vectors: [coef], factors: [1], lower: 1, upper: Infinity };
  return { ...PLAIN, name: 'whole packages', vectors: [coef], fixed: true, form: () => form };
}

/** The row of a group of columns of which one at least is used. */
function groupSource(group: ColumnGroup): RowSource {
  const form = { vectors: [], factors: [], lower: group.least, upper: Infinity };
  const name = 'one of several lots';
  return { ...PLAIN, name, vectors: [], members: group, fixed: true, form: () => form };
}

/** The rows of a problem, made once for all searches of it. */
export function poolOf(problem: BlendProblem): RowPool {
  let pool = pools.get(problem);
  if (!pool) pools.set(problem, (pool = new RowPool(problem)));
  return pool;
}

/** A pool and rows to add to it. */
interface Longer {
  readonly pool: RowPool;
  readonly rows: readonly RowSource[];
  /** Whether any blend can break them; else they are looked at where a node asks for them. */
  readonly wide: boolean;
}

/**
 * All rows of a problem in fixed order; a search activates those that bind. Of thousands of lots each has rows of
 * its own, of which few ever bind: a row is made when somebody first asks for it.
 */
export class RowPool {
  /** First of the rows "variety v is used", one per variety; before it the rows of few columns. */
  readonly firstVariety: number;
  /** First of the rows "packages of a lot", one per lot that is bought; each part says its bounds. */
  readonly firstPackage: number;
  /** First of the rows that were added: for whole packages, and of groups of columns. */
  readonly firstAdded: number;
  /** Rows of many columns, which any blend can break. */
  readonly wide: readonly number[];
  /** Rows that belong in every program from the start. */
  readonly essential: readonly number[];
  /** First of the limits of the brief. */
  readonly firstLimit: number;
  /** Limits of few columns, by column, counted from `firstLimit`: only a blend that has the column can break them. */
  readonly narrow: ReadonlyMap<number, readonly number[]>;
  private readonly problem: BlendProblem;
  private readonly spans: Map<Float64Array, Span>;
  /** The rows there were from the start, as far as they are made; and those added. */
  private readonly made: (RowSource | undefined)[];
  private readonly added: readonly RowSource[];

  /** @param from a pool of the same problem to go on from, with rows to add. */
  constructor(problem: BlendProblem, from?: Longer) {
    this.problem = problem;
    if (from) {
      const { pool, rows, wide } = from;
      this.firstLimit = pool.firstLimit;
      this.firstVariety = pool.firstVariety;
      this.firstPackage = pool.firstPackage;
      this.firstAdded = pool.firstAdded;
      this.spans = pool.spans;
      this.narrow = pool.narrow;
      this.essential = pool.essential;
      const numbers = rows.map((_, i) => pool.count + i);
      this.wide = wide ? [...pool.wide, ...numbers] : pool.wide;
      this.made = pool.made;
      this.added = [...pool.added, ...rows];
      return;
    }
    this.spans = new Map();
    const load: RowSource = {
      ...PLAIN,
      name: 'dry-hop load',
      vectors: [problem.dry],
      fixed: false,
      essential: true,
      form: ({ from, to }) => ({ vectors: [problem.dry], factors: [1], lower: from, upper: to }),
    };
    const wishes = problem.axes.flatMap((row) => axisSources(problem, row));
    const first = [load, ...wishes, ...bitterSources(problem)];
    const { limits, varieties } = problem;
    this.made = first;
    this.added = [];
    this.essential = first.flatMap((source, r) => (source.essential ? [r] : []));
    this.firstLimit = first.length;
    this.firstVariety = this.firstLimit + limits.length;
    this.firstPackage = this.firstVariety + varieties.length;
    this.firstAdded = this.firstPackage + buyingIn(problem.columns).bought.length;
    const wide = limits.flatMap(({ only }, l) => (only ? [] : [this.firstLimit + l]));
    this.wide = [...first.keys(), ...wide];
    this.narrow = limitIndexOf(problem).narrow;
  }

  /** How many rows there are. */
  get count(): number {
    return this.firstAdded + this.added.length;
  }

  /** A row by its number. */
  source(r: number): RowSource {
    return r < this.firstAdded ? (this.made[r] ??= this.make(r)) : this.added[r - this.firstAdded]!;
  }

  private make(r: number): RowSource {
    const { problem, firstLimit, firstVariety, firstPackage } = this;
    if (r < firstVariety) return limitSource(problem.limits[r - firstLimit]!);
    if (r < firstPackage) {
      const v = r - firstVariety;
      const name = `use of ${problem.varieties[v]}`;
      return sumSource(name, problem.columnsOfVariety[v]!, leastOf(problem, v));
    }
    const { leftOver, columns } = buyingIn(problem.columns).bought[r - firstPackage]!;
    return sumSource('packages of a lot', [leftOver, ...columns], -Infinity);
  }

  /** The vectors of all rows, each once. */
  vectors(): Set<Float64Array> {
    return new Set(this.wide.flatMap((r) => this.source(r).vectors));
  }

  /** The same rows under the same numbers, and more behind them. */
  withCuts(cuts: readonly Cut[]): RowPool {
    return new RowPool(this.problem, { pool: this, rows: cuts.map(cutSource), wide: true });
  }

  /** The same with the row of a group, which holds only in nodes that say so. */
  withGroup(group: ColumnGroup): RowPool {
    return new RowPool(this.problem, { pool: this, rows: [groupSource(group)], wide: false });
  }

  private spanOf(vector: Float64Array): Span {
    let span = this.spans.get(vector);
    if (!span) {
      const { columns } = this.problem;
      let [size, down, up] = [0, 0, 0];
      for (let j = 0; j < vector.length; j += 1) {
        const a = vector[j]!;
        size = Math.max(size, Math.abs(a));
        if (a < 0) down += a * columns[j]!.most;
        else up += a * columns[j]!.most;
      }
      span = { size, down, up };
      this.spans.set(vector, span);
    }
    return span;
  }

  /** The row of a source in one of its forms. */
  scaled(form: RowForm, source: RowSource): ScaledRow {
    const { members } = source;
    let [size, least, most] = [0, 0, 0];
    for (const [j, a] of members ?? []) {
      size = Math.max(size, Math.abs(a));
      if (a < 0) least += a * this.problem.columns[j]!.most;
      else most += a * this.problem.columns[j]!.most;
    }
    for (let v = 0; v < form.vectors.length; v += 1) {
      const factor = form.factors[v]!;
      if (factor === 0) continue;
      const span = this.spanOf(form.vectors[v]!);
      size += Math.abs(factor) * span.size;
      least += factor * (factor > 0 ? span.down : span.up);
      most += factor * (factor > 0 ? span.up : span.down);
    }
    const scale = size > 0 ? 1 / size : 1;
    return { source, scale, least: least * scale, most: most * scale, form };
  }

  /** Bounds of a row, in its own scale, at a slack; a bound out of the columns' reach stays out of it. */
  bounds(
    { source, scale, least, most, form }: ScaledRow,
    slack: number,
  ): {
    lower: number;
    upper: number;
  } {
    const { moving } = source;
    let { lower, upper } = form;
    if (moving?.side === 'lower') lower += moving.at(slack);
    else if (moving) upper += moving.at(slack);
    return {
      lower: Math.min(Math.max(lower * scale, least - 1), most + 1),
      upper: Math.max(Math.min(upper * scale, most + 1), least - 1),
    };
  }
}
