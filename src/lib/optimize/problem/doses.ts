// Doses of a blend, and sums over them.
import type { GramsPerLitre } from '#shared/units.ts';

/** Doses of the columns that are not zero, g/L. */
export interface Doses {
  readonly columns: readonly number[];
  readonly doses: readonly GramsPerLitre[];
}

/** No hops at all. */
export const NO_DOSES: Doses = { columns: [], doses: [] };

/** Sum of dose times what a gram per litre of its column has in a vector. */
export function sumOver(vector: Float64Array, { columns, doses }: Doses): number {
  let sum = 0;
  for (let k = 0; k < columns.length; k += 1) sum += vector[columns[k]!]! * doses[k]!;
  return sum;
}
