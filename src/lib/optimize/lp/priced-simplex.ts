// A simplex over the few columns that have been worth something, in boxes from 0 up. After each solve all
// columns are priced by the multipliers, and those that could improve the answer come in, until none
// is left; so the answer, its bound and every contradiction are those of the whole program. Columns
// stay while the solves of late had use for them.
import { allFromZero, comingIn, leastWeighed, type PricedColumns } from './column-generation.ts';
import { Simplex, type LpStatus } from './simplex.ts';
import type { Basis, LpRow } from './tableau.ts';

/** Columns brought in at once, the most promising first. */
const COLUMNS_AT_ONCE = 12;
/** From so many columns on, those not used in recent solves are dropped, and so many stay. */
const COLUMNS_MOST = 96;
const COLUMNS_KEPT = 48;
/** Reduced costs this small are rounding: as where the simplex leaves a column at its bound. */
const NOTHING = 1e-11;

/** Where wishes all but clash, their windows move by far more than a value that is let out of its box. */
const TOLERANCE = 1e-11;
const ROUGH_TOLERANCE = 1e-9;

export class PricedSimplex {
  /**
   * After `solve`: least that all columns make of the reduced costs, which with the rows' share bounds
   * the cost; after `infeasible`: most they can bring to the rows weighted by the ray.
   */
  columns = 0;

  readonly #simplex: Simplex;
  readonly #cost: Float64Array;
  readonly #upper: Float64Array;
  readonly #priced: PricedColumns;
  readonly #isIn: Uint8Array;
  /** Count of solves when a column was last of use. */
  readonly #usedAt: Float64Array;
  #solves = 0;

  constructor(cost: Float64Array, upper: Float64Array) {
    const n = cost.length;
    this.#simplex = new Simplex(cost, new Float64Array(n), upper, TOLERANCE);
    this.#simplex.inPlayCount = 0;
    this.#cost = this.#simplex.cost;
    this.#upper = this.#simplex.upper;
    this.#priced = allFromZero(this.#upper);
    this.#isIn = new Uint8Array(n);
    this.#usedAt = new Float64Array(n);
  }

  /** After `optimal`: the columns of the optimum. */
  get x(): Float64Array {
    return this.#simplex.x;
  }

  /** After `solve`: multipliers of the rows. */
  get multipliers(): Float64Array {
    return this.#simplex.multipliers;
  }

  /** After `infeasible`: weights of the rows under which they contradict the boxes. */
  get ray(): Float64Array {
    return this.#simplex.ray;
  }

  /** The basis reached, to start a later solve from. */
  basis(): Basis {
    return this.#simplex.basis();
  }

  /** Sets the boxes; only before a solve that does not go on from the last one. */
  setUpper(upper: Float64Array): void {
    this.#upper.set(upper);
  }

  /** As `Simplex.solve`, over all columns. */
  solve(rows: readonly LpRow[], basis: Basis | null | 'kept', cutoff = Infinity): LpStatus {
    const simplex = this.#simplex;
    this.#solves += 1;
    if (basis !== 'kept') this.#start(basis);
    const status = this.#generating(rows, basis, cutoff);
    if (status !== 'unsolved') return status;
    // Rounding stands in the way of so small a tolerance.
    simplex.tolerance = ROUGH_TOLERANCE;
    const roughly = this.#generating(rows, null, cutoff);
    simplex.tolerance = TOLERANCE;
    return roughly;
  }

  #generating(rows: readonly LpRow[], basis: Basis | null | 'kept', cutoff: number): LpStatus {
    const simplex = this.#simplex;
    let from = basis;
    for (;;) {
      const status = simplex.solve(rows, from, cutoff);
      from = 'kept';
      if (status === 'infeasible') {
        this.columns = -leastWeighed(this.#priced, null, rows, simplex.ray);
        // Over the columns held; the others may yet resolve it.
        if (simplex.rayShare() + this.columns < 0 || !this.#bringIn()) return status;
        continue;
      }
      this.columns = leastWeighed(this.#priced, this.#cost, rows, simplex.multipliers);
      const past = simplex.rowsShare() + this.columns > cutoff;
      if (status === 'unsolved' || past || !this.#bringIn()) {
        this.#note(rows.length);
        return past ? 'cutoff' : status;
      }
    }
  }

  /** Puts the columns of a basis in, after dropping those not used in recent solves. */
  #start(basis: Basis | null): void {
    const { inPlay, inPlayCount } = this.#simplex;
    if (inPlayCount > COLUMNS_MOST) {
      const held = Array.from(inPlay.subarray(0, inPlayCount));
      held.sort((a, b) => this.#usedAt[b]! - this.#usedAt[a]! || a - b);
      for (const j of held.slice(COLUMNS_KEPT)) this.#isIn[j] = 0;
      this.#simplex.inPlayCount = 0;
      for (const j of held.slice(0, COLUMNS_KEPT)) inPlay[this.#simplex.inPlayCount++] = j;
    }
    for (const v of basis ?? []) if (v >= 0) this.#putIn(v);
  }

  #putIn(j: number): void {
    this.#usedAt[j] = this.#solves;
    if (this.#isIn[j]) return;
    this.#isIn[j] = 1;
    const simplex = this.#simplex;
    simplex.inPlay[simplex.inPlayCount++] = j;
  }

  /** Columns that are basic were of use. */
  #note(rows: number): void {
    for (let k = 0; k < rows; k += 1) {
      const v = this.#simplex.basicAt(k);
      if (v >= 0) this.#usedAt[v] = this.#solves;
    }
  }

  /** Brings in the columns that could take most off the bound. Returns whether there were any. */
  #bringIn(): boolean {
    const found = comingIn(this.#priced, (j) => this.#isIn[j] === 1, COLUMNS_AT_ONCE, NOTHING);
    for (const j of found) this.#putIn(j);
    return found.length > 0;
  }
}
