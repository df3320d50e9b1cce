// Doses of a blend, and sums over them.

/** Doses of the uses that are not zero, g/L. */
export interface Doses {
  readonly uses: readonly number[];
  readonly doses: readonly number[];
}

/** No hops at all. */
export const NO_DOSES: Doses = { uses: [], doses: [] };

/** Sum of dose times what a gram per litre of its use has in a vector. */
export function sumOver(vector: Float64Array, { uses, doses }: Doses): number {
  let sum = 0;
  for (let k = 0; k < uses.length; k += 1) sum += vector[uses[k]!]! * doses[k]!;
  return sum;
}
