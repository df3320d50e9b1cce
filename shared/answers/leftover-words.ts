// What a cost in whole packages counts of what is left of them, in words: behind the cost, wherever it is told.
import type { Batch } from '#shared/schemas/brief.ts';

/** Begins with a comma; empty where what is left counts as nothing. */
export function leftoverWords({ leftover_value_pct: pct = 0 }: Batch): string {
  return pct > 0 ? `, less ${pct} % of the price of what is left` : '';
}
