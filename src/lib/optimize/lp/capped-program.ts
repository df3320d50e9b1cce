// A linear program of few rows over many columns, groups of which share a cap, such as the stock of a lot.
// Caps are kept by the answers themselves: a small simplex mixes whole answers that keep them, its multipliers
// say what the rows are worth, and the best answer at these prices comes in until none betters the mixture
// (Dantzig and Wolfe 1960). So thousands of caps cost a pass over the columns each time, and no row.
import { Effort, type Resting } from '#optimize/pacing/clock.ts';
import { Simplex, type LpStatus } from './simplex.ts';
import type { LpRow } from './tableau.ts';

/** Columns that together hold no more than a cap; none is in two groups. */
export interface CappedGroup {
  readonly columns: readonly number[];
  readonly most: number;
}

/** Values of the columns that are not 0. */
export interface Answer {
  readonly columns: readonly number[];
  readonly values: readonly number[];
}

/** An answer that keeps boxes and caps, and what it makes of rows asked for before. */
interface HeldAnswer extends Answer {
  readonly activity: WeakMap<Float64Array, number>;
  /** Count of programs when it was last part of a mixture. */
  usedAt: number;
}

const TOLERANCE = 1e-11;
/** Share of its value, or of this one where it is smaller, by which a mixture may be from the best. */
const GAP = 1e-8;
const SMALL_VALUE = 0.01;
/** A contradiction of less than this of the rows' bounds is rounding. */
const ROUNDING = 1e-12;
/** Answers kept between two programs. */
const KEPT_MOST = 24;
/** Once so many answers have come in, the best mixture of them is returned. */
const ROUNDS_MOST = 500;
/** A row is scaled by its bounds; one that is below this share of what the boxes allow is not used for that. */
const SMALL = 1e-6;

export class CappedProgram {
  readonly #upper: Float64Array;
  readonly #groups: readonly CappedGroup[];
  /** Columns of no group. */
  readonly #single: Int32Array;
  readonly #reduced: Float64Array;
  /** Work done, and whether it is time to rest. */
  readonly effort = new Effort();
  readonly #reach = new WeakMap<Float64Array, number>();
  readonly #ended = new Map<LpStatus, Ended>();
  #kept: HeldAnswer[] = [];
  #programs = 0;

  /** @param upper largest value of each column, finite; the least is 0. */
  constructor(upper: Float64Array, groups: readonly CappedGroup[]) {
    this.#upper = upper;
    this.#groups = groups;
    const grouped = new Set(groups.flatMap(({ columns }) => columns));
    this.#single = Int32Array.from(upper.keys()).filter((j) => !grouped.has(j));
    this.#reduced = new Float64Array(upper.length);
  }

  /**
   * The least of cost.x under the rows; `null` where there is none below `worth`, or the rows contradict.
   * @param open columns at 0 here stay at 0.
   */
  *least(
    cost: Float64Array,
    rows: readonly LpRow[],
    open: Float64Array,
    worth = Infinity,
  ): Resting<Answer | null> {
    this.#programs += 1;
    const asked: RowsAtCost = { cost, rows, open };
    // What ended the last program often ends this one too.
    for (const { weights, contradicted } of this.#ended.values()) {
      if (weights.length !== rows.length) continue;
      const { bound } = this.#priced(asked, weights, contradicted);
      if (contradicted ? bound > ROUNDING : bound >= worth) return null;
    }
    const at = this.#kept.filter(({ columns }) => columns.every((j) => open[j] !== 0));
    if (at.length === 0) at.push(this.#keep(NOTHING));
    const mix = new Mix(
      rows,
      rows.map((row) => this.#scaleOf(row)),
      this.effort,
    );
    const take = (kept: HeldAnswer) => {
      const activities = rows.map(({ coef }) => this.#activity(kept, coef));
      mix.take(this.#valueOf(kept, cost), activities);
    };
    for (const kept of at) {
      take(kept);
      yield* this.#resting();
    }
    for (let round = 1; round <= ROUNDS_MOST; round += 1) {
      const status = mix.solve();
      if (status !== 'optimal' && status !== 'infeasible') return null;
      const contradicted = status === 'infeasible';
      const weights = mix.weights(contradicted);
      const { answer, bound } = this.#priced(asked, weights, contradicted);
      yield* this.#resting();
      this.#ended.set(status, { weights, contradicted });
      if (contradicted ? bound > -ROUNDING : bound >= worth) return null;
      const { value } = mix;
      const near = value - bound <= GAP * Math.max(Math.abs(value), SMALL_VALUE);
      if (!contradicted && (near || round === ROUNDS_MOST)) return this.#mixed(at, mix.shares);
      const kept = this.#keep(answer);
      at.push(kept);
      take(kept);
    }
    return null;
  }

  *#resting(): Resting<void> {
    if (!this.effort.due) return;
    yield;
    this.effort.rested();
  }

  /**
   * The answer that is least at prices of the rows: each column that is worth its while, as far as its cap
   * goes. `bound`: nothing under the rows is below it; where they alone count, above 0 they contradict.
   */
  #priced(
    { cost, rows, open }: RowsAtCost,
    weights: Float64Array,
    rowsAlone: boolean,
  ): { readonly answer: Answer; readonly bound: number } {
    const reduced = this.#reduced;
    if (rowsAlone) reduced.fill(0);
    else reduced.set(cost);
    let bound = 0;
    rows.forEach(({ coef, lower, upper }, i) => {
      const weight = weights[i]!;
      if (weight === 0) return;
      bound += weight * (weight > 0 ? lower : upper);
      for (let j = 0; j < reduced.length; j += 1) reduced[j]! -= weight * coef[j]!;
    });
    this.effort.spend(reduced.length * (rows.length + 4));
    const columns: number[] = [];
    const values: number[] = [];
    const put = (j: number, x: number) => {
      columns.push(j);
      values.push(x);
      bound += reduced[j]! * x;
    };
    const upper = this.#upper;
    const worthIt = (j: number) => reduced[j]! < 0 && open[j] !== 0 && upper[j]! > 0;
    for (const j of this.#single) if (worthIt(j)) put(j, upper[j]!);
    for (const { columns: own, most } of this.#groups) {
      const wanted = own.filter(worthIt);
      if (wanted.length > 1) wanted.sort((a, b) => reduced[a]! - reduced[b]! || a - b);
      let left = most;
      for (const j of wanted) {
        const x = Math.min(left, upper[j]!);
        if (x <= 0) break;
        put(j, x);
        left -= x;
      }
    }
    return { answer: { columns, values }, bound };
  }

  /** Keeps an answer; those that no mixture has used for longest are dropped. */
  #keep(answer: Answer): HeldAnswer {
    const kept = {
      ...answer,
      activity: new WeakMap<Float64Array, number>(),
      usedAt: this.#programs,
    };
    if (this.#kept.length >= 2 * KEPT_MOST) {
      this.#kept.sort((a, b) => b.usedAt - a.usedAt);
      this.#kept.length = KEPT_MOST;
    }
    this.#kept.push(kept);
    return kept;
  }

  #mixed(at: readonly HeldAnswer[], shares: Float64Array): Answer {
    const sums = new Map<number, number>();
    at.forEach((kept, k) => {
      const share = shares[k]!;
      if (share <= 0) return;
      kept.usedAt = this.#programs;
      this.effort.spend(kept.columns.length * 10);
      kept.columns.forEach((j, i) => sums.set(j, (sums.get(j) ?? 0) + share * kept.values[i]!));
    });
    return { columns: [...sums.keys()], values: [...sums.values()] };
  }

  #activity(kept: HeldAnswer, coef: Float64Array): number {
    let sum = kept.activity.get(coef);
    if (sum === undefined) kept.activity.set(coef, (sum = this.#valueOf(kept, coef)));
    return sum;
  }

  #valueOf({ columns, values }: Answer, coef: Float64Array): number {
    this.effort.spend(columns.length);
    let sum = 0;
    for (let k = 0; k < columns.length; k += 1) sum += coef[columns[k]!]! * values[k]!;
    return sum;
  }

  /** The factor that brings the bounds of a row to about 1. */
  #scaleOf({ coef, lower, upper }: LpRow): number {
    let reach = this.#reach.get(coef);
    if (reach === undefined) {
      reach = coef.reduce((sum, a, j) => sum + Math.abs(a) * this.#upper[j]!, 0);
      this.effort.spend(coef.length);
      this.#reach.set(coef, reach);
    }
    const size = Math.max(Math.abs(lower), Math.abs(upper), SMALL * reach);
    return size > 0 ? 1 / size : 1;
  }
}

interface RowsAtCost {
  readonly cost: Float64Array;
  readonly rows: readonly LpRow[];
  readonly open: Float64Array;
}

/** What ended a program: weights of its rows. */
interface Ended {
  readonly weights: Float64Array;
  readonly contradicted: boolean;
}

const NOTHING: Answer = { columns: [], values: [] };

/** The small program: shares of answers that make up one whole and keep the rows, of least cost. */
class Mix {
  readonly #scales: readonly number[];
  readonly #simplex: Simplex;
  #rows: LpRow[];
  #width = 64;
  #going = false;

  constructor(rows: readonly LpRow[], scales: readonly number[], effort: Effort) {
    this.#scales = scales;
    const none = new Float64Array(0);
    this.#simplex = new Simplex(none, none, none, TOLERANCE, effort);
    const scaled = rows.map(({ lower, upper }, i) => ({
      lower: lower * scales[i]!,
      upper: upper * scales[i]!,
    }));
    this.#rows = [{ lower: 1, upper: 1 }, ...scaled].map((bounds) => ({
      ...bounds,
      coef: new Float64Array(this.#width),
    }));
  }

  take(cost: number, activities: readonly number[]): void {
    const k = this.#simplex.addColumn(cost);
    if (k >= this.#width) {
      this.#width *= 2;
      this.#rows = this.#rows.map((row) => {
        const coef = new Float64Array(this.#width);
        coef.set(row.coef);
        return { ...row, coef };
      });
    }
    this.#simplex.upper[k] = 1;
    this.#simplex.inPlay[this.#simplex.inPlayCount++] = k;
    this.#rows[0]!.coef[k] = 1;
    activities.forEach((a, i) => (this.#rows[i + 1]!.coef[k] = a * this.#scales[i]!));
  }

  solve(): LpStatus {
    const status = this.#simplex.solve(this.#rows, this.#going ? 'kept' : null);
    this.#going = true;
    return status;
  }

  /** What the rows are worth; or, where they contradict, the weights under which they do. */
  weights(contradicted: boolean): Float64Array {
    const { ray, multipliers } = this.#simplex;
    const weights = contradicted ? ray : multipliers;
    return Float64Array.from(this.#scales, (scale, i) => scale * weights[i + 1]!);
  }

  get value(): number {
    const { x, cost, columns } = this.#simplex;
    let sum = 0;
    for (let k = 0; k < columns; k += 1) sum += x[k]! * cost[k]!;
    return sum;
  }

  get shares(): Float64Array {
    return this.#simplex.x;
  }
}
