// What a kept linear program holds between solves: columns and rows with their boxes, which variables are
// basic, the inverse of their basis, and the values, multipliers and reduced costs that follow from it. Every
// variable lies in a finite box, so that any basis can be made dual feasible by flipping bounds; for the same
// reason columns and rows may come in at any time.
import { Inverse } from './inverse.ts';

/** A row as the program holds it: lower <= coef.x <= upper, both finite. */
export interface LpRow {
  readonly coef: Float64Array;
  readonly lower: number;
  readonly upper: number;
}

/** Basic variables: a column by its index, the activity of the i-th row by -1 - i. */
export type Basis = Int32Array;

export const AT_LOWER = 0;
export const AT_UPPER = 1;
export const BASIC = 2;
/** Reduced costs this small leave a variable at the bound it is at. */
const DUAL_ZERO = 1e-11;

export class Tableau {
  /** Columns there are; the arrays below have room for more. */
  columns: number;
  cost: Float64Array;
  /** Box of each column, finite; set before `solve`. */
  lower: Float64Array;
  upper: Float64Array;
  /** Columns that may be other than 0, the first `inPlayCount` of these. */
  inPlay: Int32Array;
  inPlayCount: number;
  /** After `solve` with `optimal`: the columns of the optimum. */
  x: Float64Array;
  /** After `solve`: multipliers of the rows. */
  multipliers = new Float64Array(0);
  /** After `infeasible`: weights of the rows under which they contradict the boxes. */
  ray = new Float64Array(0);
  /** After `infeasible`: most that the weighted rows can be over the boxes; below 0, it must be 0. */
  reach = 0;

  protected rows: readonly LpRow[] = [];
  protected m = 0;
  protected readonly inverse = new Inverse();
  protected sinceFactor = 0;
  protected value = new Float64Array(0);
  protected rowState = new Uint8Array(0);
  protected rowPrice = new Float64Array(0);
  protected rowEntry = new Float64Array(0);
  protected work = new Float64Array(0);
  protected freeRows = new Uint8Array(0);
  protected price: Float64Array;
  protected state: Uint8Array;
  protected entry: Float64Array;
  protected candidates: Int32Array;
  protected ratios: Float64Array;

  /** @param tolerance share by which a value may be outside its box. */
  constructor(
    cost: Float64Array,
    lower: Float64Array,
    upper: Float64Array,
    public tolerance: number,
  ) {
    const n = cost.length;
    this.columns = n;
    this.cost = Float64Array.from(cost);
    this.lower = Float64Array.from(lower);
    this.upper = Float64Array.from(upper);
    this.inPlay = Int32Array.from(cost, (_, j) => j);
    this.inPlayCount = n;
    this.x = new Float64Array(n);
    this.price = new Float64Array(n);
    this.state = new Uint8Array(n);
    this.entry = new Float64Array(n);
    this.candidates = new Int32Array(n);
    this.ratios = new Float64Array(n);
  }

  /** Takes one more column, its box {0}; returns its index. */
  addColumn(cost: number): number {
    const j = this.columns;
    if (j === this.cost.length) this.widen(Math.max(64, 2 * j));
    this.columns += 1;
    this.cost[j] = cost;
    this.lower[j] = 0;
    this.upper[j] = 0;
    this.state[j] = AT_LOWER;
    return j;
  }

  protected widen(n: number): void {
    const wider = (a: Float64Array) => {
      const b = new Float64Array(n);
      b.set(a);
      return b;
    };
    this.cost = wider(this.cost);
    this.lower = wider(this.lower);
    this.upper = wider(this.upper);
    this.x = wider(this.x);
    this.price = wider(this.price);
    this.entry = new Float64Array(n);
    const { inPlay, state } = this;
    this.inPlay = new Int32Array(n);
    this.inPlay.set(inPlay);
    this.state = new Uint8Array(n);
    this.state.set(state);
    this.candidates = new Int32Array(n + this.value.length);
    this.ratios = new Float64Array(n + this.value.length);
  }

  /** The basis reached, to start a later solve from. */
  basis(): Basis {
    return this.inverse.basic.slice(0, this.m);
  }

  /** After `solve`: the basic variable at a position, as in `Basis`. */
  basicAt(position: number): number {
    return this.inverse.basic[position]!;
  }

  /** After `solve`: whether the activity of the i-th row is basic, that is, whether it may not bind. */
  activityIsBasic(i: number): boolean {
    return this.rowState[i] === BASIC;
  }
  protected hold(rows: readonly LpRow[]): void {
    this.rows = rows;
    this.m = rows.length;
    if (!this.inverse.reserve(this.m) && this.m <= this.value.length) return;
    const { stride } = this.inverse;
    this.value = new Float64Array(stride);
    const { rowState } = this;
    this.rowState = new Uint8Array(stride);
    this.rowState.set(rowState);
    this.rowPrice = new Float64Array(stride);
    this.rowEntry = new Float64Array(stride);
    this.work = new Float64Array(stride);
    this.freeRows = new Uint8Array(stride);
    this.multipliers = new Float64Array(stride);
    this.ray = new Float64Array(stride);
    this.candidates = new Int32Array(this.cost.length + stride);
    this.ratios = new Float64Array(this.cost.length + stride);
  }

  protected take(rows: readonly LpRow[], basis: Basis | null): void {
    const { inPlay, inPlayCount: count, state, inverse } = this;
    for (let k = 0; k < inverse.size; k += 1) {
      const v = inverse.basic[k]!;
      if (v >= 0) state[v] = AT_LOWER;
    }
    this.hold(rows);
    for (let q = 0; q < count; q += 1) state[inPlay[q]!] = AT_LOWER;
    this.rowState.fill(AT_LOWER, 0, this.m);
    this.factor(basis ?? NO_BASIS);
  }

  protected goOn(rows: readonly LpRow[]): void {
    const { inPlay, inPlayCount: count, state, inverse } = this;
    const before = inverse.size;
    this.hold(rows);
    for (let q = 0; q < count; q += 1) {
      const j = inPlay[q]!;
      if (state[j] !== BASIC) state[j] = AT_LOWER;
    }
    for (let i = 0; i < before; i += 1) if (this.rowState[i] !== BASIC) this.rowState[i] = AT_LOWER;
    if (rows.length > before) {
      inverse.border(rows);
      this.rowState.fill(BASIC, before, rows.length);
    }
    this.priceAll();
    this.settle();
  }

  /** Builds the inverse of a basis anew; a column that depends on others is left out. */
  protected factor(basis: Basis): void {
    const { m, inverse, freeRows, rows, state, rowState } = this;
    const wanted = basis.length > m ? NO_BASIS : basis;
    inverse.reset(m);
    // The activity of a row stays basic where the basis says so, and of rows it does not know.
    freeRows.fill(0, 0, m);
    freeRows.fill(1, 0, wanted.length);
    for (let k = 0; k < wanted.length; k += 1) {
      const v = wanted[k]!;
      if (v < 0 && -1 - v < m) freeRows[-1 - v] = 0;
    }
    for (let k = 0; k < wanted.length; k += 1) {
      const v = wanted[k]!;
      if (v >= 0 && v < this.columns && state[v] !== BASIC && inverse.bring(v, rows, freeRows)) {
        state[v] = BASIC;
      }
    }
    for (let k = 0; k < m; k += 1)
      if (inverse.basic[k]! < 0) rowState[-1 - inverse.basic[k]!] = BASIC;
    this.sinceFactor = 0;
    this.priceAll();
    this.settle();
  }

  /** The inverse anew from the same basis. */
  protected refactor(): void {
    const { m, state, rowState } = this;
    const basis = this.basis();
    for (let k = 0; k < m; k += 1) {
      const v = basis[k]!;
      if (v >= 0) state[v] = AT_LOWER;
      else rowState[-1 - v] = AT_LOWER;
    }
    this.factor(basis);
  }

  /** Sets `multipliers` to what the basis makes of the costs. */
  protected multiply(): void {
    const { m, cost, multipliers: y } = this;
    const { basic, values, stride } = this.inverse;
    y.fill(0, 0, m);
    for (let k = 0; k < m; k += 1) {
      const v = basic[k]!;
      const c = v >= 0 ? cost[v]! : 0;
      if (c === 0) continue;
      const at = k * stride;
      for (let i = 0; i < m; i += 1) y[i]! += c * values[at + i]!;
    }
  }

  /** Multipliers and reduced costs from the inverse; non-basic variables go to their dual side. */
  protected priceAll(): void {
    const { m, cost, rows, multipliers: y, price, rowPrice } = this;
    const { inPlay, inPlayCount: count, state, rowState } = this;
    this.multiply();
    for (let q = 0; q < count; q += 1) price[inPlay[q]!] = cost[inPlay[q]!]!;
    for (let i = 0; i < m; i += 1) {
      const yi = y[i]!;
      rowPrice[i] = yi;
      if (yi === 0) continue;
      const { coef } = rows[i]!;
      for (let q = 0; q < count; q += 1) {
        const j = inPlay[q]!;
        price[j]! -= yi * coef[j]!;
      }
    }
    for (let q = 0; q < count; q += 1) {
      const j = inPlay[q]!;
      const d = price[j]!;
      if (state[j] === BASIC || (d < DUAL_ZERO && d > -DUAL_ZERO)) continue;
      state[j] = d < 0 ? AT_UPPER : AT_LOWER;
    }
    for (let i = 0; i < m; i += 1) {
      const d = rowPrice[i]!;
      if (rowState[i] === BASIC || (d < DUAL_ZERO && d > -DUAL_ZERO)) continue;
      rowState[i] = d < 0 ? AT_UPPER : AT_LOWER;
    }
  }

  /** Values of the basic variables from the non-basic ones. */
  protected settle(): void {
    const { m, rows, inPlay, inPlayCount: count, state, rowState, value, work } = this;
    const { values, stride } = this.inverse;
    work.fill(0, 0, m);
    for (let q = 0; q < count; q += 1) {
      const j = inPlay[q]!;
      if (state[j] === BASIC) continue;
      const at = state[j] === AT_UPPER ? this.upper[j]! : this.lower[j]!;
      if (at !== 0) for (let i = 0; i < m; i += 1) work[i]! -= rows[i]!.coef[j]! * at;
    }
    for (let i = 0; i < m; i += 1) {
      if (rowState[i] === BASIC) continue;
      work[i]! += rowState[i] === AT_UPPER ? rows[i]!.upper : rows[i]!.lower;
    }
    for (let k = 0; k < m; k += 1) {
      let sum = 0;
      const at = k * stride;
      for (let i = 0; i < m; i += 1) sum += values[at + i]! * work[i]!;
      value[k] = sum;
    }
  }

  /** The dual objective: what the prices make of the boxes. */
  protected dualObjective(): number {
    const { m, rows, inPlay, inPlayCount: count, state, price, rowPrice, rowState } = this;
    let z = 0;
    for (let q = 0; q < count; q += 1) {
      const j = inPlay[q]!;
      if (state[j] === AT_UPPER) z += price[j]! * this.upper[j]!;
      else if (state[j] === AT_LOWER && this.lower[j] !== 0) z += price[j]! * this.lower[j]!;
    }
    for (let i = 0; i < m; i += 1) {
      if (rowState[i] === BASIC) continue;
      z += rowPrice[i]! * (rowState[i] === AT_UPPER ? rows[i]!.upper : rows[i]!.lower);
    }
    return z;
  }
  protected lowerOf(v: number): number {
    return v >= 0 ? this.lower[v]! : this.rows[-1 - v]!.lower;
  }

  protected upperOf(v: number): number {
    return v >= 0 ? this.upper[v]! : this.rows[-1 - v]!.upper;
  }

  /** The columns at the optimum. */
  protected readOff(): void {
    const { m, value, x, inPlay, inPlayCount: count, state } = this;
    x.fill(0);
    for (let q = 0; q < count; q += 1) {
      const j = inPlay[q]!;
      if (state[j] !== BASIC) x[j] = state[j] === AT_UPPER ? this.upper[j]! : this.lower[j]!;
    }
    for (let k = 0; k < m; k += 1) {
      const v = this.inverse.basic[k]!;
      if (v >= 0) x[v] = Math.min(Math.max(value[k]!, this.lower[v]!), this.upper[v]!);
    }
  }
}

const NO_BASIS: Basis = new Int32Array(0);
