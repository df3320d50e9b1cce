// The rows of a blend problem at one dry-hop load, where they are exact: the load, a window for every
// axis, bitterness with a side chosen for every cap, hard limits, required hops. Written out once, bounds
// set anew for each question; rows that never bound stay out.
import type { GramsPerLitre } from '#shared/units.ts';
import { leastOf, type BlendProblem } from '#optimize/problem/problem.ts';
import type { Basis, LpRow } from '#optimize/lp/tableau.ts';
import { hotShare, ibuAt, sideAt, sideIn, termLine } from '#optimize/problem/bitterness.ts';
import { sumOver, type Doses } from '#optimize/problem/doses.ts';
import { excess, signalAt, writeSignal } from '#optimize/problem/evaluation.ts';
import { bitterWindow, windowsOf, type Window } from '#optimize/problem/windows.ts';

/** Share by which doses may break a row that is left out. */
const ROW_TOLERANCE = 1e-11;

interface LoadRow extends LpRow {
  readonly coef: Float64Array;
  lower: number;
  upper: number;
  /** Factor that makes the largest coefficient 1. */
  readonly scale: number;
  /** What is there before any dose. */
  readonly constant: number;
  /** Least and most the columns can make of it. */
  readonly least: number;
  readonly most: number;
}

/** Rows by number that are the same at several places: whatever side a cap is on, or at every load. */
export type SharedRows = (LoadRow | undefined)[];

export class RowsAtLoad {
  /** Largest dose of each column at this load, g/L. */
  readonly upper: Float64Array;
  /** Rows in the program, by number; the basis goes by their places. */
  active: number[];
  basis: Basis | null = null;

  readonly #problem: BlendProblem;
  readonly #rows: SharedRows;
  /** Limits and required hops: the same at every load. */
  readonly #everywhere: SharedRows;
  /** The one row that goes by the sides. */
  #bitterMost: LoadRow | undefined;
  readonly #bounded: LpRow[] = [];
  /** The windows of all axes, for the wishes and the slack last asked for. */
  #windows: readonly Window[] = [];
  #asked: BlendProblem | null = null;
  #slack = 0;
  /** First of the rows of bitterness, of limits, of required hops. */
  readonly #bitter: number;
  readonly #limits: number;
  readonly #required: number;

  /**
   * @param load dry-hop load, g/L
   * @param sides bit i: the i-th bitter term counts with its cap, else as if it had none.
   * @param shared rows at this load written for other sides; those written here are added.
   * @param everywhere rows that no load changes, written for other loads; those written here are added.
   */
  constructor(
    problem: BlendProblem,
    readonly load: GramsPerLitre,
    readonly sides: number,
    shared: SharedRows = [],
    everywhere: SharedRows = [],
  ) {
    const { columns, dry, axes, bitter, limits, required } = problem;
    this.#problem = problem;
    this.#rows = shared;
    this.#everywhere = everywhere;
    this.upper = Float64Array.from(columns, ({ most }, j) =>
      dry[j] === 1 ? Math.min(most, load) : most,
    );
    this.#bitter = 1 + axes.length;
    // At most with the chosen sides, at least with every choice of sides.
    const bitterRows = bitter ? 1 + (1 << bitter.terms.length) : 0;
    this.#limits = this.#bitter + bitterRows;
    this.#required = this.#limits + limits.length;
    this.active = [0, ...required.map((_, i) => this.#required + i)];
    if (bitter?.atMost !== undefined) this.active.push(this.#bitter);
  }

  /** Whether the chosen caps alone are more bitter than may be. */
  ruledOut(slack: number): boolean {
    const { bitter } = this.#problem;
    if (bitter?.atMost === undefined) return false;
    const { constant } = this.#row(this.#bitter);
    return constant > bitterWindow(bitter, slack).high;
  }

  /** The rows in the program with their bounds at a slack. */
  bounded(asked: BlendProblem, slack: number): readonly LpRow[] {
    this.#bounded.length = this.active.length;
    for (let i = 0; i < this.active.length; i += 1) {
      this.#bounded[i] = this.boundedRow(asked, this.active[i]!, slack);
    }
    return this.#bounded;
  }

  /** A row by number, its bounds whatever they last were. */
  row(r: number): LpRow {
    return this.#row(r);
  }

  /** A row, by number, with its bounds at a slack. */
  boundedRow(asked: BlendProblem, r: number, slack: number): LpRow {
    const row = this.#row(r);
    if (asked !== this.#asked || slack !== this.#slack) {
      this.#windows = windowsOf(asked, slack);
      this.#asked = asked;
      this.#slack = slack;
    }
    const { low, high } = this.#boundsOf(asked, r, slack);
    const { scale, constant, least, most } = row;
    // A bound out of the columns' reach stays out of it.
    row.lower = Math.min(Math.max((low - constant) * scale, least - 1), most + 1);
    row.upper = Math.max(Math.min((high - constant) * scale, most + 1), least - 1);
    return row;
  }

  /** Brings in the rows that doses break; returns whether there are any. */
  activateViolated(asked: BlendProblem, doses: Doses, slack: number): boolean {
    const before = this.active.length;
    const { load } = this;
    const add = (r: number) => {
      if (!this.active.includes(r)) this.active.push(r);
    };
    const windows = windowsOf(asked, slack);
    asked.axes.forEach((axis, a) => {
      if (axis.low === -Infinity && axis.high === Infinity) return;
      const { low, high } = windows[a]!;
      const signal = signalAt(asked, axis, doses, load);
      const room = ROW_TOLERANCE * Math.max(1e-3, signal);
      if (signal < low - room || signal > high + room) add(1 + a);
    });
    const { bitter } = asked;
    if (bitter?.atLeast !== undefined) {
      const least = bitterWindow(bitter, slack).low;
      if (ibuAt(asked, doses, load) < least - ROW_TOLERANCE * Math.max(1, least)) {
        add(this.#bitter + 1 + this.#sidesOf(doses));
      }
    }
    asked.limits.forEach((limit, l) => {
      if (excess(limit, doses) > ROW_TOLERANCE) add(this.#limits + l);
    });
    return this.active.length > before;
  }

  /** Where the sides are taken that make the doses least bitter. */
  #sidesOf(doses: Doses): number {
    return this.#problem.bitter!.terms.reduce((mask, term, i) => {
      const side = sideAt(term, sumOver(term.alpha, doses));
      return side === 'capped' ? mask | (1 << i) : mask;
    }, 0);
  }

  #boundsOf(asked: BlendProblem, r: number, slack: number): Window {
    if (r === 0) return { low: this.load, high: this.load };
    if (r < this.#bitter) return this.#windows[r - 1]!;
    if (r < this.#limits) {
      const { low, high } = bitterWindow(asked.bitter!, slack);
      return r === this.#bitter ? { low: -Infinity, high } : { low, high: Infinity };
    }
    if (r < this.#required) return { low: -Infinity, high: asked.limits[r - this.#limits]!.most };
    return { low: leastOf(asked, asked.required[r - this.#required]!), high: Infinity };
  }

  #row(r: number): LoadRow {
    if (r === this.#bitter) return (this.#bitterMost ??= this.#written(r));
    const rows = r < this.#limits ? this.#rows : this.#everywhere;
    return (rows[r] ??= this.#written(r));
  }

  #written(r: number): LoadRow {
    const { columns } = this.#problem;
    const coef = new Float64Array(columns.length);
    const constant = this.#write(r, coef);
    let largest = 0;
    for (let j = 0; j < coef.length; j += 1) largest = Math.max(largest, Math.abs(coef[j]!));
    const scale = largest > 0 ? 1 / largest : 1;
    let least = 0;
    let most = 0;
    for (let j = 0; j < coef.length; j += 1) {
      coef[j]! *= scale;
      const reach = coef[j]! * columns[j]!.most;
      if (reach < 0) least += reach;
      else most += reach;
    }
    return { coef, lower: 0, upper: 0, scale, constant, least, most };
  }

  /** Writes coefficients; returns the constant beside them. */
  #write(r: number, coef: Float64Array): number {
    const { axes, bitter, dry, limits, required, columnsOfVariety } = this.#problem;
    if (r === 0) {
      coef.set(dry);
      return 0;
    }
    if (r < this.#bitter) {
      return writeSignal(this.#problem, axes[r - 1]!, this.load, coef);
    }
    if (r < this.#limits) {
      const sides = r === this.#bitter ? this.sides : r - this.#bitter - 1;
      const hot = hotShare(bitter!, this.load);
      coef.set(bitter!.plain);
      let sum = bitter!.base;
      bitter!.terms.forEach((term, i) => {
        const { constant, slope } = termLine(term, sideIn(sides, i), hot);
        sum += constant;
        if (slope === 0) return;
        for (let j = 0; j < coef.length; j += 1) coef[j]! += slope * term.alpha[j]!;
      });
      return sum;
    }
    if (r < this.#required) {
      coef.set(limits[r - this.#limits]!.coef);
      return 0;
    }
    for (const j of columnsOfVariety[required[r - this.#required]!]!) coef[j] = 1;
    return 0;
  }
}
