// A linear program kept between solves: bounded dual simplex for few rows (tens) and many columns
// (hundreds). Every variable lies in a finite box, so that any basis can be made dual feasible by
// flipping bounds and a search can jump from node to node; for the same reason columns and rows may
// come in at any time, and the simplex goes on from where it was.
// Method: dual simplex with steepest edge and bound flipping (Koberstein 2005, chapters 3 and 6).
import { Effort } from '#optimize/pacing/clock.ts';
import { Inverse, PIVOT_TOLERANCE } from './inverse.ts';

/** A row as the program holds it: lower <= coef.x <= upper, both finite. */
export interface LpRow {
  readonly coef: Float64Array;
  readonly lower: number;
  readonly upper: number;
}

/** Basic variables: a column by its index, the activity of the i-th row by -1 - i. */
export type Basis = Int32Array;

/** `cutoff`: the bound passed the cutoff. `unsolved`: the iteration limit came first. */
export type LpStatus = 'optimal' | 'infeasible' | 'cutoff' | 'unsolved';

const AT_LOWER = 0;
const AT_UPPER = 1;
const BASIC = 2;
/** Reduced costs this small leave a variable at the bound it is at. */
const DUAL_ZERO = 1e-11;
const REFACTOR_EVERY = 50;
/** Steps from a fresh inverse within which its numbers are taken as they are. */
const TRUSTED_STEPS = 20;
const ITERATIONS_MAX = 500;

export class Simplex {
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
  /** Simplex steps since the program was made. */
  steps = 0;

  private rows: readonly LpRow[] = [];
  private m = 0;
  private readonly inverse = new Inverse();
  private sinceFactor = 0;
  private status: LpStatus = 'unsolved';
  /** Steps of this solve; and whether it began anew from no basis. */
  private round = 0;
  private anew = false;
  private value = new Float64Array(0);
  private rowState = new Uint8Array(0);
  private rowPrice = new Float64Array(0);
  private rowEntry = new Float64Array(0);
  private work = new Float64Array(0);
  private freeRows = new Uint8Array(0);
  private price: Float64Array;
  private state: Uint8Array;
  private entry: Float64Array;
  private candidates: Int32Array;
  private ratios: Float64Array;
  private readonly flipped: number[] = [];

  /** @param tolerance share by which a value may be outside its box. */
  constructor(
    cost: Float64Array,
    lower: Float64Array,
    upper: Float64Array,
    public tolerance = 1e-9,
    private readonly effort = new Effort(),
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

  private widen(n: number): void {
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

  /**
   * Minimises cost.x over the boxes and rows. Starts from `basis` where given; rows it does not
   * know come in with their own activity basic. `kept`: goes on from the last solve, whose rows must
   * come first and have the same coefficients. Stops early once the bound passes `cutoff`.
   */
  solve(rows: readonly LpRow[], basis: Basis | null | 'kept', cutoff = Infinity): LpStatus {
    let status = this.solveSome(rows, basis, cutoff);
    while (status === 'paused') status = this.goOnSolving(cutoff);
    return status;
  }

  /** Begins to solve; `paused` once it is time to rest. */
  solveSome(
    rows: readonly LpRow[],
    basis: Basis | null | 'kept',
    cutoff: number,
  ): LpStatus | 'paused' {
    if (basis === 'kept') this.goOn(rows);
    else this.take(rows, basis);
    this.round = 0;
    this.anew = false;
    return this.goOnSolving(cutoff);
  }

  /** Goes on where `solveSome` paused. */
  goOnSolving(cutoff: number): LpStatus | 'paused' {
    let status = this.iterate(cutoff);
    if (status === 'unsolved' && !this.anew) {
      this.anew = true;
      this.round = 0;
      this.take(this.rows, null);
      status = this.iterate(cutoff);
    }
    if (status === 'paused') {
      this.effort.rested();
      return status;
    }
    this.status = status;
    if (this.status === 'optimal') this.readOff();
    this.multiply();
    return this.status;
  }

  /**
   * After `solve`: the lower bound that follows from the multipliers alone; valid whatever happened.
   * For any multipliers y: min over the boxes of cost.x - y(Ax - s), computed afresh from the data.
   */
  get bound(): number {
    if (this.status === 'infeasible') return Infinity;
    this.priceAll();
    const { inPlay, inPlayCount: count, price } = this;
    let z = this.rowsShare();
    for (let q = 0; q < count; q += 1) {
      const j = inPlay[q]!;
      const d = price[j]!;
      z += d < 0 ? d * this.upper[j]! : d * this.lower[j]!;
    }
    return Number.isNaN(z) ? -Infinity : z;
  }

  /** The rows' share in the bound: sum of min over its bounds of multiplier * activity. */
  rowsShare(): number {
    const { m, rows, multipliers: y } = this;
    let z = 0;
    for (let i = 0; i < m; i += 1) {
      const w = y[i]!;
      if (w !== 0) z += w > 0 ? w * rows[i]!.lower : w * rows[i]!.upper;
    }
    return z;
  }

  /** The rows' share in what the ray can be: sum of max over its bounds of -weight * activity. */
  rayShare(): number {
    const { m, rows, ray } = this;
    let most = 0;
    for (let i = 0; i < m; i += 1) {
      const w = ray[i]!;
      if (w !== 0) most -= w > 0 ? w * rows[i]!.lower : w * rows[i]!.upper;
    }
    return most;
  }

  /** Most that ray.(Ax - s) can be over the boxes; it must be 0, so below 0 proves contradiction. */
  private reachOf(): number {
    const { m, rows, ray, inPlay, inPlayCount: count, entry } = this;
    for (let q = 0; q < count; q += 1) entry[inPlay[q]!] = 0;
    let most = this.rayShare();
    for (let i = 0; i < m; i += 1) {
      const w = ray[i]!;
      if (w === 0) continue;
      const { coef } = rows[i]!;
      for (let q = 0; q < count; q += 1) entry[inPlay[q]!]! += w * coef[inPlay[q]!]!;
    }
    for (let q = 0; q < count; q += 1) {
      const j = inPlay[q]!;
      most += entry[j]! > 0 ? entry[j]! * this.upper[j]! : entry[j]! * this.lower[j]!;
    }
    return most;
  }

  private hold(rows: readonly LpRow[]): void {
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

  private take(rows: readonly LpRow[], basis: Basis | null): void {
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

  private goOn(rows: readonly LpRow[]): void {
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
  private factor(basis: Basis): void {
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
  private refactor(): void {
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
  private multiply(): void {
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
  private priceAll(): void {
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
  private settle(): void {
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
  private dualObjective(): number {
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

  private iterate(cutoff: number): LpStatus | 'paused' {
    const { effort, m, inPlayCount } = this;
    for (; this.round < ITERATIONS_MAX; this.round += 1) {
      if (effort.due) return 'paused';
      effort.spend(m * (m + inPlayCount));
      if (cutoff < Infinity && this.dualObjective() > cutoff) return 'cutoff';
      if (this.sinceFactor >= REFACTOR_EVERY) this.refactor();
      const leaving = this.chooseLeaving();
      if (leaving < 0) {
        if (this.sinceFactor <= TRUSTED_STEPS) return 'optimal';
        this.refactor();
        continue;
      }
      const outcome = this.pivot(leaving);
      this.steps += 1;
      this.sinceFactor += 1;
      if (outcome === 'done') continue;
      if (outcome === 'infeasible') {
        this.reach = this.reachOf();
        if (this.reach < 0) return 'infeasible';
      }
      if (this.sinceFactor === 1) return 'unsolved';
      this.refactor();
    }
    return 'unsolved';
  }

  private lowerOf(v: number): number {
    return v >= 0 ? this.lower[v]! : this.rows[-1 - v]!.lower;
  }

  private upperOf(v: number): number {
    return v >= 0 ? this.upper[v]! : this.rows[-1 - v]!.upper;
  }

  /** The basic variable furthest outside its box, measured by dual steepest edge; -1 if none. */
  private chooseLeaving(): number {
    const { m, value } = this;
    const { basic, values, stride } = this.inverse;
    let best = -1;
    let most = 0;
    for (let k = 0; k < m; k += 1) {
      const v = basic[k]!;
      const x = value[k]!;
      const low = this.lowerOf(v);
      const high = this.upperOf(v);
      const outside = x < low ? low - x : x - high;
      if (outside <= this.tolerance * (1 + Math.abs(x))) continue;
      let norm = 0;
      const at = k * stride;
      for (let i = 0; i < m; i += 1) norm += values[at + i]! * values[at + i]!;
      const merit = (outside * outside) / norm;
      if (merit > most) [best, most] = [k, merit];
    }
    return best;
  }

  /** One step of the dual simplex on basis position `p`. */
  private pivot(p: number): 'done' | 'infeasible' | 'stuck' {
    const { m, rows, value, entry, rowEntry, price, rowPrice } = this;
    const { inPlay, inPlayCount: count, state, rowState, inverse } = this;
    const { basic, values, stride } = inverse;
    const at = p * stride;
    const leaving = basic[p]!;
    const rising = value[p]! < this.lowerOf(leaving);
    const goal = rising ? this.lowerOf(leaving) : this.upperOf(leaving);
    // Row p of the tableau: x_leaving + sum entry_j x_j = 0.
    for (let q = 0; q < count; q += 1) entry[inPlay[q]!] = 0;
    for (let i = 0; i < m; i += 1) {
      const rho = values[at + i]!;
      rowEntry[i] = -rho;
      if (rho === 0) continue;
      const { coef } = rows[i]!;
      for (let q = 0; q < count; q += 1) {
        const j = inPlay[q]!;
        entry[j]! += rho * coef[j]!;
      }
    }
    const sign = rising ? -1 : 1;
    const entering = this.ratioTest(sign, Math.abs(value[p]! - goal));
    if (entering === NONE) {
      for (let i = 0; i < m; i += 1) this.ray[i] = sign * values[at + i]!;
      return 'infeasible';
    }
    // Column of the entering variable in the tableau.
    const column = this.work;
    for (let k = 0; k < m; k += 1) {
      let sum = 0;
      const row = k * stride;
      if (entering >= 0) {
        for (let i = 0; i < m; i += 1) sum += values[row + i]! * rows[i]!.coef[entering]!;
      } else sum = -values[row - 1 - entering]!;
      column[k] = sum;
    }
    const expected = entering >= 0 ? entry[entering]! : rowEntry[-1 - entering]!;
    const pivot = column[p]!;
    if (
      !(Math.abs(pivot) >= PIVOT_TOLERANCE) ||
      !(Math.abs(pivot - expected) <= 1e-6 * (1 + Math.abs(pivot)))
    ) {
      return 'stuck';
    }
    // Prices.
    const theta = (entering >= 0 ? price[entering]! : rowPrice[-1 - entering]!) / pivot;
    if (theta !== 0) {
      for (let q = 0; q < count; q += 1) {
        const j = inPlay[q]!;
        if (state[j] !== BASIC) price[j]! -= theta * entry[j]!;
      }
      for (let i = 0; i < m; i += 1) {
        if (rowState[i] !== BASIC) rowPrice[i]! -= theta * rowEntry[i]!;
      }
    }
    // Values.
    const move = (value[p]! - goal) / pivot;
    const side = entering >= 0 ? state[entering] : rowState[-1 - entering];
    const start = side === AT_UPPER ? this.upperOf(entering) : this.lowerOf(entering);
    for (let k = 0; k < m; k += 1) value[k]! -= move * column[k]!;
    value[p] = start + move;
    // States.
    this.setNonBasic(leaving, rising ? AT_LOWER : AT_UPPER, -theta);
    if (entering >= 0) {
      state[entering] = BASIC;
      price[entering] = 0;
    } else {
      rowState[-1 - entering] = BASIC;
      rowPrice[-1 - entering] = 0;
    }
    inverse.exchange(p, column);
    basic[p] = entering;
    return 'done';
  }

  private setNonBasic(v: number, side: number, price: number): void {
    if (v >= 0) {
      this.state[v] = side;
      this.price[v] = price;
    } else {
      this.rowState[-1 - v] = side;
      this.rowPrice[-1 - v] = price;
    }
  }

  /**
   * Bound-flipping ratio test: walks the breakpoints of the dual objective along the row while it
   * still rises, flips the boxes passed, and names the variable at which it turns; NONE if it never
   * does, which proves that the row cannot be met.
   */
  private ratioTest(sign: number, infeasibility: number): number {
    const { m, rows, candidates, ratios, entry, rowEntry } = this;
    const { price, rowPrice, inPlay, inPlayCount: count, state, rowState } = this;
    let found = 0;
    for (let q = 0; q < count; q += 1) {
      const j = inPlay[q]!;
      const s = state[j]!;
      if (s === BASIC) continue;
      const a = sign * entry[j]!;
      if (
        (s === AT_LOWER ? a > PIVOT_TOLERANCE : a < -PIVOT_TOLERANCE) &&
        this.upper[j]! > this.lower[j]!
      ) {
        candidates[found] = j;
        ratios[found++] = Math.abs(price[j]! / a);
      }
    }
    for (let i = 0; i < m; i += 1) {
      const s = rowState[i]!;
      if (s === BASIC) continue;
      const a = sign * rowEntry[i]!;
      if (
        (s === AT_LOWER ? a > PIVOT_TOLERANCE : a < -PIVOT_TOLERANCE) &&
        rows[i]!.upper > rows[i]!.lower
      ) {
        candidates[found] = -1 - i;
        ratios[found++] = Math.abs(rowPrice[i]! / a);
      }
    }
    let slope = infeasibility;
    this.flipped.length = 0;
    while (found > 0) {
      let least = Infinity;
      for (let c = 0; c < found; c += 1) if (ratios[c]! < least) least = ratios[c]!;
      // Among near ties the largest pivot.
      const tie = least + 1e-12;
      let pick = -1;
      let size = 0;
      for (let c = 0; c < found; c += 1) {
        if (!(ratios[c]! <= tie)) continue;
        const v = candidates[c]!;
        const a = Math.abs(v >= 0 ? entry[v]! : rowEntry[-1 - v]!);
        if (a > size) [pick, size] = [c, a];
      }
      if (pick < 0) return NONE;
      const v = candidates[pick]!;
      const reach = size * (this.upperOf(v) - this.lowerOf(v));
      if (slope - reach <= this.tolerance) {
        if (this.flipped.length > 0) this.applyFlips();
        return v;
      }
      slope -= reach;
      this.flipped.push(v);
      found -= 1;
      candidates[pick] = candidates[found]!;
      ratios[pick] = ratios[found]!;
    }
    return NONE;
  }

  private applyFlips(): void {
    const { m, rows, state, rowState, value, work } = this;
    const { values, stride } = this.inverse;
    work.fill(0, 0, m);
    for (const v of this.flipped) {
      const width = this.upperOf(v) - this.lowerOf(v);
      if (v >= 0) {
        const delta = state[v] === AT_LOWER ? width : -width;
        state[v] = state[v] === AT_LOWER ? AT_UPPER : AT_LOWER;
        for (let i = 0; i < m; i += 1) work[i]! -= rows[i]!.coef[v]! * delta;
      } else {
        const i = -1 - v;
        const delta = rowState[i] === AT_LOWER ? width : -width;
        rowState[i] = rowState[i] === AT_LOWER ? AT_UPPER : AT_LOWER;
        work[i]! += delta;
      }
    }
    for (let k = 0; k < m; k += 1) {
      let sum = 0;
      const at = k * stride;
      for (let i = 0; i < m; i += 1) sum += values[at + i]! * work[i]!;
      value[k]! += sum;
    }
  }

  /** The columns at the optimum. */
  private readOff(): void {
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
/** No variable: neither a column nor the activity of a row. */
const NONE = -0x7fffffff;
