// How a cost in whole packages counts what is left of them, in words that follow the cost wherever it is shown.
import type { Batch } from '#shared/schemas/brief.ts';

/** Begins with a comma; empty where what is left counts as nothing. */
export function leftoverWords({ leftover_value_pct: pct = 0 }: Batch): string {
  return pct > 0 ? `, less ${pct} % of the price of what is left` : '';
}
