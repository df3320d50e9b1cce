// A linear program kept between solves: bounded dual simplex with a dense inverse of the basis, for
// few rows (tens) and many columns (hundreds). Every variable lies in a finite box, so that any basis
// can be made dual feasible by flipping bounds and a search can jump from node to node.
// Method: dual simplex with steepest edge and bound flipping (Koberstein 2005, chapters 3 and 6).

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
const PRIMAL_TOLERANCE = 1e-9;
/** Reduced costs this small leave a variable at the bound it is at. */
const DUAL_ZERO = 1e-11;
const PIVOT_TOLERANCE = 1e-8;
const REFACTOR_EVERY = 50;
/** Steps from a fresh inverse within which its numbers are taken as they are. */
const TRUSTED_STEPS = 20;
const ITERATIONS_MAX = 500;

export class Simplex {
  readonly columns: number;
  readonly cost: Float64Array;
  /** Box of each column, finite; set before `solve`. */
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  /** Columns that may be other than 0; the boxes of all others are not looked at. */
  inPlay: Int32Array;
  /** After `solve` with `optimal`: the columns of the optimum. */
  readonly x: Float64Array;
  /** After `solve`: reduced cost of each column whose box is not {0}. */
  readonly price: Float64Array;
  /** After `solve`: multipliers of the rows. */
  multipliers = new Float64Array(0);
  /** After `solve`: the lower bound that follows from the multipliers alone; valid whatever happened. */
  bound = -Infinity;
  /** After `infeasible`: weights of the rows under which they contradict the boxes. */
  ray = new Float64Array(0);
  /** Simplex steps since the program was made. */
  steps = 0;

  private rows: readonly LpRow[] = [];
  private m = 0;
  private stride = 0;
  private basic = new Int32Array(0);
  private inverse = new Float64Array(0);
  private dense = new Float64Array(0);
  private value = new Float64Array(0);
  private rowState = new Uint8Array(0);
  private rowPrice = new Float64Array(0);
  private rowEntry = new Float64Array(0);
  private work = new Float64Array(0);
  private readonly state: Uint8Array;
  private readonly present: Int32Array;
  private count = 0;
  private readonly entry: Float64Array;
  private candidates: Int32Array;
  private ratios: Float64Array;
  private readonly flipped: number[] = [];

  constructor(cost: Float64Array, lower: Float64Array, upper: Float64Array) {
    const n = cost.length;
    this.columns = n;
    this.cost = cost;
    this.lower = Float64Array.from(lower);
    this.upper = Float64Array.from(upper);
    this.inPlay = Int32Array.from(cost, (_, j) => j);
    this.x = new Float64Array(n);
    this.price = new Float64Array(n);
    this.state = new Uint8Array(n);
    this.present = new Int32Array(n);
    this.entry = new Float64Array(n);
    this.candidates = new Int32Array(n);
    this.ratios = new Float64Array(n);
  }

  /** The basis reached, to start a later solve from. */
  basis(): Basis {
    return this.basic.slice(0, this.m).map((v) => (v < this.columns ? v : this.columns - 1 - v));
  }

  /**
   * Minimises cost.x over the boxes and rows. Starts from `basis` where given; rows it does not
   * know come in with their own activity basic. Stops early once the bound passes `cutoff`.
   */
  solve(rows: readonly LpRow[], basis: Basis | null, cutoff = Infinity): LpStatus {
    this.take(rows, basis);
    let status = this.iterate(cutoff);
    if (status === 'unsolved') {
      this.take(rows, null);
      status = this.iterate(cutoff);
    }
    this.finish(status);
    return status;
  }

  /** Most that ray.(Ax - s) can be over the boxes; it must be 0, so below 0 proves contradiction. */
  private reach(): number {
    const { m, rows, ray, present, count, entry } = this;
    for (let q = 0; q < count; q += 1) entry[present[q]!] = 0;
    let most = 0;
    for (let i = 0; i < m; i += 1) {
      const w = ray[i]!;
      if (w === 0) continue;
      const { coef, lower, upper } = rows[i]!;
      most -= Math.min(w * lower, w * upper);
      for (let q = 0; q < count; q += 1) entry[present[q]!]! += w * coef[present[q]!]!;
    }
    for (let q = 0; q < count; q += 1) {
      const j = present[q]!;
      most += Math.max(entry[j]! * this.lower[j]!, entry[j]! * this.upper[j]!);
    }
    return most;
  }

  private take(rows: readonly LpRow[], basis: Basis | null): void {
    this.rows = rows;
    this.m = rows.length;
    if (this.m > this.stride) this.grow(this.m + 16);
    const { m, columns: n, lower, upper, present, state } = this;
    this.count = 0;
    for (let k = 0; k < this.inPlay.length; k += 1) {
      const j = this.inPlay[k]!;
      state[j] = AT_LOWER;
      if (upper[j]! > 0 || lower[j]! < 0) present[this.count++] = j;
    }
    const known = basis ? basis.length : 0;
    for (let i = 0; i < m; i += 1) {
      const v = i < known ? basis![i]! : -1 - i;
      this.basic[i] = v >= 0 ? v : n - 1 - v;
      this.rowState[i] = AT_LOWER;
    }
    this.refactor();
  }

  private grow(stride: number): void {
    this.stride = stride;
    const keep = this.basic;
    this.basic = new Int32Array(stride);
    this.basic.set(keep);
    this.inverse = new Float64Array(stride * stride);
    this.dense = new Float64Array(stride * stride);
    this.value = new Float64Array(stride);
    this.rowState = new Uint8Array(stride);
    this.rowPrice = new Float64Array(stride);
    this.rowEntry = new Float64Array(stride);
    this.work = new Float64Array(stride);
    this.multipliers = new Float64Array(stride);
    this.ray = new Float64Array(stride);
    this.candidates = new Int32Array(this.columns + stride);
    this.ratios = new Float64Array(this.columns + stride);
  }

  /** Builds the inverse of the basis anew; a dependent column gives way to a row's activity. */
  private refactor(): void {
    const { m, stride, columns: n, basic, dense, inverse, rows, state, rowState } = this;
    for (let i = 0; i < m; i += 1) {
      for (let k = 0; k < m; k += 1) {
        const v = basic[k]!;
        dense[i * stride + k] = v < n ? rows[i]!.coef[v]! : v - n === i ? -1 : 0;
        inverse[i * stride + k] = i === k ? 1 : 0;
      }
    }
    // Gauss-Jordan on [dense | inverse]; column k of the basis ends in the row it was pivoted on.
    const pivotRow = this.candidates;
    const taken = new Uint8Array(m);
    for (let k = 0; k < m; k += 1) {
      let best = -1;
      let size = PIVOT_TOLERANCE;
      for (let i = 0; i < m; i += 1) {
        const a = Math.abs(dense[i * stride + k]!);
        if (!taken[i] && a > size) [best, size] = [i, a];
      }
      pivotRow[k] = best;
      if (best < 0) continue;
      taken[best] = 1;
      this.eliminate(best, k);
    }
    for (let k = 0; k < m; k += 1) {
      if (pivotRow[k]! >= 0) continue;
      // The activity of a row that no column pivots on: -e_row, in terms of the reduced matrix.
      let best = -1;
      let size = 0;
      let row = 0;
      for (let r = 0; r < m; r += 1) {
        for (let i = 0; i < m; i += 1) {
          const a = Math.abs(inverse[i * stride + r]!);
          if (!taken[i] && a > size && !basic.subarray(0, m).includes(n + r)) {
            [best, size, row] = [i, a, r];
          }
        }
      }
      basic[k] = n + row;
      for (let i = 0; i < m; i += 1) dense[i * stride + k] = -inverse[i * stride + row]!;
      pivotRow[k] = best;
      taken[best] = 1;
      this.eliminate(best, k);
    }
    // Bring row pivotRow[k] to position k.
    dense.set(inverse);
    for (let k = 0; k < m; k += 1) {
      const from = pivotRow[k]! * stride;
      for (let i = 0; i < m; i += 1) inverse[k * stride + i] = dense[from + i]!;
    }
    for (let k = 0; k < m; k += 1) {
      const v = basic[k]!;
      if (v < n) state[v] = BASIC;
      else rowState[v - n] = BASIC;
    }
    this.priceAll();
    this.settle();
  }

  private eliminate(pivot: number, k: number): void {
    const { m, stride, dense, inverse } = this;
    const at = pivot * stride;
    const scale = 1 / dense[at + k]!;
    for (let c = 0; c < m; c += 1) {
      dense[at + c]! *= scale;
      inverse[at + c]! *= scale;
    }
    for (let i = 0; i < m; i += 1) {
      const factor = dense[i * stride + k]!;
      if (i === pivot || factor === 0) continue;
      for (let c = 0; c < m; c += 1) {
        dense[i * stride + c]! -= factor * dense[at + c]!;
        inverse[i * stride + c]! -= factor * inverse[at + c]!;
      }
    }
  }

  /** Multipliers and reduced costs from the inverse; non-basic variables go to their dual side. */
  private priceAll(): void {
    const { m, stride, columns: n, basic, inverse, cost, rows } = this;
    const { multipliers: y, price, rowPrice, present, count, state, rowState } = this;
    y.fill(0, 0, m);
    for (let k = 0; k < m; k += 1) {
      const v = basic[k]!;
      const c = v < n ? cost[v]! : 0;
      if (c === 0) continue;
      const at = k * stride;
      for (let i = 0; i < m; i += 1) y[i]! += c * inverse[at + i]!;
    }
    for (let p = 0; p < count; p += 1) price[present[p]!] = cost[present[p]!]!;
    for (let i = 0; i < m; i += 1) {
      const yi = y[i]!;
      rowPrice[i] = yi;
      if (yi === 0) continue;
      const { coef } = rows[i]!;
      for (let p = 0; p < count; p += 1) {
        const j = present[p]!;
        price[j]! -= yi * coef[j]!;
      }
    }
    for (let p = 0; p < count; p += 1) {
      const j = present[p]!;
      const d = price[j]!;
      if (state[j] === BASIC || Math.abs(d) < DUAL_ZERO) continue;
      state[j] = d < 0 ? AT_UPPER : AT_LOWER;
    }
    for (let i = 0; i < m; i += 1) {
      const d = rowPrice[i]!;
      if (rowState[i] === BASIC || Math.abs(d) < DUAL_ZERO) continue;
      rowState[i] = d < 0 ? AT_UPPER : AT_LOWER;
    }
  }

  /** Values of the basic variables from the non-basic ones. */
  private settle(): void {
    const { m, stride, inverse, rows, present, count, state, rowState, value, work } = this;
    work.fill(0, 0, m);
    for (let p = 0; p < count; p += 1) {
      const j = present[p]!;
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
      for (let i = 0; i < m; i += 1) sum += inverse[at + i]! * work[i]!;
      value[k] = sum;
    }
  }

  /** The dual objective: what the prices make of the boxes. */
  private dualObjective(): number {
    const { m, rows, present, count, state, price, rowPrice, rowState } = this;
    let z = 0;
    for (let p = 0; p < count; p += 1) {
      const j = present[p]!;
      if (state[j] === AT_UPPER) z += price[j]! * this.upper[j]!;
      else if (state[j] === AT_LOWER && this.lower[j] !== 0) z += price[j]! * this.lower[j]!;
    }
    for (let i = 0; i < m; i += 1) {
      if (rowState[i] === BASIC) continue;
      z += rowPrice[i]! * (rowState[i] === AT_UPPER ? rows[i]!.upper : rows[i]!.lower);
    }
    return z;
  }

  private iterate(cutoff: number): LpStatus {
    let sinceFactor = 0;
    const refresh = () => {
      this.refactor();
      sinceFactor = 0;
    };
    for (let round = 0; round < ITERATIONS_MAX; round += 1) {
      if (cutoff < Infinity && this.dualObjective() > cutoff) return 'cutoff';
      if (sinceFactor >= REFACTOR_EVERY) refresh();
      const leaving = this.chooseLeaving();
      if (leaving < 0) {
        if (sinceFactor <= TRUSTED_STEPS) return 'optimal';
        refresh();
        continue;
      }
      const outcome = this.pivot(leaving);
      this.steps += 1;
      sinceFactor += 1;
      if (outcome === 'done') continue;
      if (outcome === 'infeasible' && this.reach() < 0) return 'infeasible';
      if (sinceFactor === 1) return 'unsolved';
      refresh();
    }
    return 'unsolved';
  }

  private lowerOf(v: number): number {
    return v < this.columns ? this.lower[v]! : this.rows[v - this.columns]!.lower;
  }

  private upperOf(v: number): number {
    return v < this.columns ? this.upper[v]! : this.rows[v - this.columns]!.upper;
  }

  /** The basic variable furthest outside its box, measured by dual steepest edge; -1 if none. */
  private chooseLeaving(): number {
    const { m, stride, basic, value, inverse } = this;
    let best = -1;
    let most = 0;
    for (let k = 0; k < m; k += 1) {
      const v = basic[k]!;
      const x = value[k]!;
      const low = this.lowerOf(v);
      const high = this.upperOf(v);
      const outside = x < low ? low - x : x - high;
      if (outside <= PRIMAL_TOLERANCE * (1 + Math.abs(x))) continue;
      let norm = 0;
      const at = k * stride;
      for (let i = 0; i < m; i += 1) norm += inverse[at + i]! * inverse[at + i]!;
      const merit = (outside * outside) / norm;
      if (merit > most) [best, most] = [k, merit];
    }
    return best;
  }

  /** One step of the dual simplex on basis position `p`. */
  private pivot(p: number): 'done' | 'infeasible' | 'stuck' {
    const { m, stride, columns: n, basic, inverse, rows, value } = this;
    const { entry, rowEntry, price, rowPrice, present, count, state, rowState } = this;
    const at = p * stride;
    const leaving = basic[p]!;
    const rising = value[p]! < this.lowerOf(leaving);
    const goal = rising ? this.lowerOf(leaving) : this.upperOf(leaving);
    // Row p of the tableau: x_leaving + sum entry_j x_j = 0.
    for (let q = 0; q < count; q += 1) entry[present[q]!] = 0;
    for (let i = 0; i < m; i += 1) {
      const rho = inverse[at + i]!;
      rowEntry[i] = -rho;
      if (rho === 0) continue;
      const { coef } = rows[i]!;
      for (let q = 0; q < count; q += 1) {
        const j = present[q]!;
        entry[j]! += rho * coef[j]!;
      }
    }
    const sign = rising ? -1 : 1;
    const entering = this.ratioTest(sign, Math.abs(value[p]! - goal));
    if (entering === -1) {
      for (let i = 0; i < m; i += 1) this.ray[i] = sign * inverse[at + i]!;
      return 'infeasible';
    }
    // Column of the entering variable in the tableau.
    const column = this.work;
    for (let k = 0; k < m; k += 1) {
      let sum = 0;
      const row = k * stride;
      if (entering < n) {
        for (let i = 0; i < m; i += 1) sum += inverse[row + i]! * rows[i]!.coef[entering]!;
      } else sum = -inverse[row + entering - n]!;
      column[k] = sum;
    }
    const expected = entering < n ? entry[entering]! : rowEntry[entering - n]!;
    const pivot = column[p]!;
    if (
      Math.abs(pivot) < PIVOT_TOLERANCE ||
      Math.abs(pivot - expected) > 1e-6 * (1 + Math.abs(pivot))
    ) {
      return 'stuck';
    }
    // Prices.
    const theta = (entering < n ? price[entering]! : rowPrice[entering - n]!) / pivot;
    if (theta !== 0) {
      for (let q = 0; q < count; q += 1) {
        const j = present[q]!;
        if (state[j] !== BASIC) price[j]! -= theta * entry[j]!;
      }
      for (let i = 0; i < m; i += 1) {
        if (rowState[i] !== BASIC) rowPrice[i]! -= theta * rowEntry[i]!;
      }
    }
    // Values.
    const move = (value[p]! - goal) / pivot;
    const start =
      entering < n
        ? state[entering] === AT_UPPER
          ? this.upper[entering]!
          : this.lower[entering]!
        : rowState[entering - n] === AT_UPPER
          ? rows[entering - n]!.upper
          : rows[entering - n]!.lower;
    for (let k = 0; k < m; k += 1) value[k]! -= move * column[k]!;
    value[p] = start + move;
    // States.
    const side = rising ? AT_LOWER : AT_UPPER;
    if (leaving < n) {
      state[leaving] = side;
      price[leaving] = -theta;
    } else {
      rowState[leaving - n] = side;
      rowPrice[leaving - n] = -theta;
    }
    if (entering < n) {
      state[entering] = BASIC;
      price[entering] = 0;
    } else {
      rowState[entering - n] = BASIC;
      rowPrice[entering - n] = 0;
    }
    basic[p] = entering;
    // Inverse.
    const scale = 1 / pivot;
    for (let i = 0; i < m; i += 1) inverse[at + i]! *= scale;
    for (let k = 0; k < m; k += 1) {
      const factor = column[k]!;
      if (k === p || factor === 0) continue;
      const row = k * stride;
      for (let i = 0; i < m; i += 1) inverse[row + i]! -= factor * inverse[at + i]!;
    }
    return 'done';
  }

  /**
   * Bound-flipping ratio test: walks the breakpoints of the dual objective along the row while it
   * still rises, flips the boxes passed, and names the variable at which it turns; -1 if it never
   * does, which proves that the row cannot be met.
   */
  private ratioTest(sign: number, infeasibility: number): number {
    const { m, columns: n, rows, candidates, ratios, entry, rowEntry } = this;
    const { price, rowPrice, present, count, state, rowState } = this;
    let found = 0;
    for (let q = 0; q < count; q += 1) {
      const j = present[q]!;
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
        candidates[found] = n + i;
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
        if (ratios[c]! > tie) continue;
        const v = candidates[c]!;
        const a = Math.abs(v < n ? entry[v]! : rowEntry[v - n]!);
        if (a > size) [pick, size] = [c, a];
      }
      const v = candidates[pick]!;
      const reach = size * (this.upperOf(v) - this.lowerOf(v));
      if (slope - reach <= PRIMAL_TOLERANCE) {
        if (this.flipped.length > 0) this.applyFlips();
        return v;
      }
      slope -= reach;
      this.flipped.push(v);
      found -= 1;
      candidates[pick] = candidates[found]!;
      ratios[pick] = ratios[found]!;
    }
    return -1;
  }

  private applyFlips(): void {
    const { m, stride, columns: n, rows, state, rowState, inverse, value, work } = this;
    work.fill(0, 0, m);
    for (const v of this.flipped) {
      const width = this.upperOf(v) - this.lowerOf(v);
      if (v < n) {
        const delta = state[v] === AT_LOWER ? width : -width;
        state[v] = state[v] === AT_LOWER ? AT_UPPER : AT_LOWER;
        for (let i = 0; i < m; i += 1) work[i]! -= rows[i]!.coef[v]! * delta;
      } else {
        const delta = rowState[v - n] === AT_LOWER ? width : -width;
        rowState[v - n] = rowState[v - n] === AT_LOWER ? AT_UPPER : AT_LOWER;
        work[v - n]! += delta;
      }
    }
    for (let k = 0; k < m; k += 1) {
      let sum = 0;
      const at = k * stride;
      for (let i = 0; i < m; i += 1) sum += inverse[at + i]! * work[i]!;
      value[k]! += sum;
    }
  }

  /** Bound from the multipliers alone, and the columns if optimal. */
  private finish(status: LpStatus): void {
    const { columns: n, m, basic, value, x, present, count, state } = this;
    this.bound = status === 'infeasible' ? Infinity : this.boundOf();
    if (status !== 'optimal') return;
    x.fill(0);
    for (let p = 0; p < count; p += 1) {
      const j = present[p]!;
      if (state[j] !== BASIC) x[j] = state[j] === AT_UPPER ? this.upper[j]! : this.lower[j]!;
    }
    for (let k = 0; k < m; k += 1) {
      const v = basic[k]!;
      if (v < n) x[v] = Math.min(Math.max(value[k]!, this.lower[v]!), this.upper[v]!);
    }
  }

  /**
   * For any multipliers y: min over the boxes of cost.x - y(Ax - s). Computed afresh from the data,
   * so it holds however the solve went.
   */
  private boundOf(): number {
    this.priceAll();
    const { m, rows, present, count, price, multipliers: y } = this;
    let z = 0;
    for (let p = 0; p < count; p += 1) {
      const j = present[p]!;
      const d = price[j]!;
      z += Math.min(d * this.lower[j]!, d * this.upper[j]!);
    }
    for (let i = 0; i < m; i += 1) z += Math.min(y[i]! * rows[i]!.lower, y[i]! * rows[i]!.upper);
    return z;
  }
}
