// A linear program kept between solves: bounded dual simplex for few rows (tens) and many columns
// (hundreds). A search can jump from node to node and go on from where the simplex was.
// Method: dual simplex with steepest edge and bound flipping (Koberstein 2005, chapters 3 and 6).
import { Effort } from '#optimize/pacing/clock.ts';
import { PIVOT_TOLERANCE } from './inverse.ts';
import { NONE, RatioTest } from './ratio-test.ts';
import { AT_LOWER, AT_UPPER, BASIC, type Basis, type LpRow } from './tableau.ts';

/** `cutoff`: the bound passed the cutoff. `unsolved`: the iteration limit came first. */
export type LpStatus = 'optimal' | 'infeasible' | 'cutoff' | 'unsolved';

const REFACTOR_EVERY = 50;
/** Steps from a fresh inverse within which its numbers are taken as they are. */
const TRUSTED_STEPS = 20;
const ITERATIONS_MAX = 500;

export class Simplex extends RatioTest {
  /** Simplex steps since the program was made. */
  steps = 0;

  private status: LpStatus = 'unsolved';
  /** Steps of this solve; and whether it began anew from no basis. */
  private round = 0;
  private anew = false;

  /** @param tolerance share by which a value may be outside its box. */
  constructor(
    cost: Float64Array,
    lower: Float64Array,
    upper: Float64Array,
    tolerance = 1e-9,
    private readonly effort = new Effort(),
  ) {
    super(cost, lower, upper, tolerance);
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
}
