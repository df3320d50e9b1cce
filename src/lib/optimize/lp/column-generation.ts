// Column generation: a simplex holds the few columns that have been worth something, all others are
// priced after each solve, and those that could improve the answer come in. Here is how they are chosen,
// and the bound that follows from the prices of all columns.
import { quickselect } from 'd3';
import type { LpRow } from './tableau.ts';

/** Columns with their reduced costs and boxes, by column; `count` of those listed take part. */
export interface PricedColumns {
  readonly columns: Int32Array;
  readonly count: number;
  readonly reduced: Float64Array;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

/**
 * The columns to bring in, at most `most`, those first that could take most off the bound.
 * @param nothing reduced costs this small are rounding.
 */
export function comingIn(
  { columns, count, reduced, upper }: PricedColumns,
  isHeld: (column: number) => boolean,
  most: number,
  nothing = 0,
): number[] {
  const found: number[] = [];
  for (let k = 0; k < count; k += 1) {
    const j = columns[k]!;
    if (reduced[j]! < -nothing && upper[j]! > 0 && !isHeld(j)) found.push(j);
  }
  if (found.length <= most) return found;
  const compare = (a: number, b: number) =>
    reduced[a]! * upper[a]! - reduced[b]! * upper[b]! || a - b;
  // Of thousands only the first few are put in order.
  quickselect(found, most - 1, 0, found.length - 1, (a, b) => compare(Number(a), Number(b)));
  found.length = most;
  return found.sort(compare);
}

/** `from` and the least that the reduced costs come to over the boxes: a bound for any multipliers. */
export function leastOverBoxes(
  { columns, count, reduced, lower, upper }: PricedColumns,
  from: number,
): number {
  let sum = from;
  for (let k = 0; k < count; k += 1) {
    const j = columns[k]!;
    const d = reduced[j]!;
    sum += d < 0 ? d * upper[j]! : d * lower[j]!;
  }
  return sum;
}

/** All columns in boxes from 0 up, their reduced costs still 0. */
export function allFromZero(upper: Float64Array): PricedColumns {
  const n = upper.length;
  return {
    columns: Int32Array.from(upper, (_, j) => j),
    count: n,
    reduced: new Float64Array(n),
    lower: new Float64Array(n),
    upper,
  };
}

/**
 * Sets the reduced costs of all columns to cost - sum over rows of weight * row, and returns the least
 * that comes to over their boxes.
 * @param cost by column; `null` for none.
 */
export function leastWeighed(
  priced: PricedColumns,
  cost: Float64Array | null,
  rows: readonly LpRow[],
  weights: Float64Array,
): number {
  const { reduced } = priced;
  if (cost) reduced.set(cost);
  else reduced.fill(0);
  for (let i = 0; i < rows.length; i += 1) {
    const weight = weights[i]!;
    if (weight === 0) continue;
    const { coef } = rows[i]!;
    for (let j = 0; j < reduced.length; j += 1) reduced[j]! -= weight * coef[j]!;
  }
  return leastOverBoxes(priced, 0);
}
