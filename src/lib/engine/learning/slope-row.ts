// The slopes of one figure by the unknowns. A figure depends on about a tenth of them, so a row keeps only
// those: products of rows are most of the work of a fit.

export class SlopeRow {
  /** Indices of the unknowns it depends on, rising. */
  readonly places: Int32Array;
  readonly slopes: Float64Array;

  /** @param all slopes by unknown, most of them 0. @param scale factor on all of them. */
  constructor(all: Float64Array, scale = 1) {
    let count = 0;
    for (let u = 0; u < all.length; u += 1) if (all[u] !== 0) count += 1;
    this.places = new Int32Array(count);
    this.slopes = new Float64Array(count);
    let at = 0;
    for (let u = 0; u < all.length; u += 1) {
      if (all[u] === 0) continue;
      this.places[at] = u;
      this.slopes[at] = all[u]! * scale;
      at += 1;
    }
  }

  /** Scalar product with a list of one number for each unknown. */
  times(numbers: Float64Array): number {
    const { places, slopes } = this;
    let sum = 0;
    for (let k = 0; k < places.length; k += 1) sum += slopes[k]! * numbers[places[k]!]!;
    return sum;
  }

  /** Adds the row, times `by`, to a list of one number for each unknown. */
  addTo(numbers: Float64Array, by = 1): Float64Array {
    const { places, slopes } = this;
    for (let k = 0; k < places.length; k += 1) numbers[places[k]!]! += by * slopes[k]!;
    return numbers;
  }

  /** The row restricted to some unknowns. */
  within(counts: ReadonlySet<number>, unknowns: number): SlopeRow {
    const all = this.addTo(new Float64Array(unknowns));
    for (const place of this.places) if (!counts.has(place)) all[place] = 0;
    return new SlopeRow(all);
  }
}
