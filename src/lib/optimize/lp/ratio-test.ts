// Which variable enters the basis of a bounded dual simplex: the ratio test that flips bounds on its way
// (Koberstein 2005, chapter 3).
import { PIVOT_TOLERANCE } from './inverse.ts';
import { AT_LOWER, AT_UPPER, BASIC, Tableau } from './tableau.ts';

/** No variable: neither a column nor the activity of a row. */
export const NONE = -0x7fffffff;

export class RatioTest extends Tableau {
  private readonly flipped: number[] = [];

  /**
   * Bound-flipping ratio test: walks the breakpoints of the dual objective along the row while it
   * still rises, flips the boxes passed, and names the variable at which it turns; NONE if it never
   * does, which proves that the row cannot be met.
   */
  protected ratioTest(sign: number, infeasibility: number): number {
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
}
