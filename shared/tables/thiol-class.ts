// Which pool of thiols a variety is worth buying for: free, bound, both, low or unknown.
// Only figures that were read, derived or recalled speak here; an estimate says nothing about a
// variety. All limits are judgement on the recalled bands of cultivars known as rich.
import type { AnalyteId, Tendency, ThiolClass } from '#shared/ids.ts';
import type { Cells } from './cells.ts';

/** A variety is rich in free thiols when one centre reaches its limit, ug/kg. */
export const FREE_RICH: readonly (readonly [AnalyteId, number])[] = [
  ['msp4_ug_per_kg', 4.4],
  ['sh3_ug_per_kg', 17],
  ['s3mp4_ug_per_kg', 20],
  ['sha3_ug_per_kg', 10],
];

export function thiolClass(cells: Cells, tendency: Tendency): ThiolClass {
  const known = FREE_RICH.flatMap(([analyte, limit]) => {
    const cell = cells[analyte];
    return cell === undefined || cell.status === 'estimated' ? [] : [cell.central >= limit];
  });
  const free = known.includes(true);
  const bound = tendency === 'high';
  if (free) return bound ? 'both' : 'free';
  if (bound) return 'bound';
  return known.length > 0 && tendency === 'low' ? 'low' : 'unknown';
}
