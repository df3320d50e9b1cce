// The inverse of a simplex basis, dense: built from the activities of the rows by pivoting columns in
// one at a time, so that a column that depends on those before it is simply left out and the activity
// of a row stays in its place. No choice of columns, however bad, can leave it without an inverse.

/** A row's coefficients by column. */
type Coefficients = Pick<{ coef: Float64Array }, 'coef'>;

/** A pivot smaller than this, or than this share of its column, counts as none. */
export const PIVOT_TOLERANCE = 1e-8;

/** Basic variables by position: a column by its index, the activity of the i-th row by -1 - i. */
export class Inverse {
  /** Rows, and basic variables. */
  size = 0;
  basic = new Int32Array(0);
  /** Row k of the inverse begins at k * stride. */
  stride = 0;
  values = new Float64Array(0);
  private column = new Float64Array(0);

  /** Makes room for `rows` rows, keeping what is there. Returns whether it had to grow. */
  reserve(rows: number): boolean {
    if (rows <= this.stride) return false;
    const { stride: before, values, basic } = this;
    this.stride = rows + 16;
    this.basic = new Int32Array(this.stride);
    this.basic.set(basic);
    this.column = new Float64Array(this.stride);
    this.values = new Float64Array(this.stride * this.stride);
    for (let k = 0; k < this.size; k += 1) {
      this.values.set(values.subarray(k * before, k * before + this.size), k * this.stride);
    }
    return true;
  }

  /** The basis in which every row's activity is basic; each is minus its unit vector. */
  reset(size: number): void {
    this.reserve(size);
    this.size = size;
    const { stride, values, basic } = this;
    for (let k = 0; k < size; k += 1) {
      basic[k] = -1 - k;
      values.fill(0, k * stride, k * stride + size);
      values[k * stride + k] = -1;
    }
  }

  /**
   * Pivots a column in for the activity of one of the rows that are `free` to leave; that row is free
   * no more. Returns false, changing nothing, where the column depends on those already in.
   */
  bring(j: number, rows: readonly Coefficients[], free: Uint8Array): boolean {
    const { size, stride, values, column } = this;
    column.fill(0, 0, size);
    for (let i = 0; i < size; i += 1) {
      const a = rows[i]!.coef[j]!;
      if (a === 0) continue;
      for (let k = 0; k < size; k += 1) column[k]! += a * values[k * stride + i]!;
    }
    let pivot = -1;
    let largest = 0;
    let size1 = 0;
    for (let k = 0; k < size; k += 1) {
      const a = Math.abs(column[k]!);
      if (a > size1) size1 = a;
      if (free[k] && a > largest) [pivot, largest] = [k, a];
    }
    if (!(largest > PIVOT_TOLERANCE * Math.max(1, size1))) return false;
    this.exchange(pivot, column);
    this.basic[pivot] = j;
    free[pivot] = 0;
    return true;
  }

  /** Brings a variable in at `position`, its column in terms of the basis given. */
  exchange(position: number, column: Float64Array): void {
    const { size, stride, values } = this;
    const at = position * stride;
    const scale = 1 / column[position]!;
    for (let i = 0; i < size; i += 1) values[at + i]! *= scale;
    for (let k = 0; k < size; k += 1) {
      const factor = column[k]!;
      if (k === position || factor === 0) continue;
      const row = k * stride;
      for (let i = 0; i < size; i += 1) values[row + i]! -= factor * values[at + i]!;
    }
  }

  /** Takes rows beyond the ones it has, their own activities basic. */
  border(rows: readonly Coefficients[]): void {
    this.reserve(rows.length);
    const { stride, values, basic, size: before } = this;
    for (let r = before; r < rows.length; r += 1) {
      const { coef } = rows[r]!;
      const at = r * stride;
      values.fill(0, at, at + r);
      for (let k = 0; k < before; k += 1) {
        values[k * stride + r] = 0;
        const v = basic[k]!;
        const a = v < 0 ? 0 : coef[v]!;
        if (a === 0) continue;
        for (let i = 0; i < before; i += 1) values[at + i]! += a * values[k * stride + i]!;
      }
      for (let k = before; k < r; k += 1) values[k * stride + r] = 0;
      values[at + r] = -1;
      basic[r] = -1 - r;
    }
    this.size = rows.length;
  }
}
