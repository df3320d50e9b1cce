// What is said of a stored lot, and what its laboratory figures may be.
import type { AnalyteId } from '#shared/ids.ts';
import { analysisSchema } from '#shared/schemas/lot.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';
import { rangeOf, type Range } from '#shared/schemas/ranges.ts';
import { listed } from './format.ts';
import { analyteName } from './words.ts';

/** Why designs leave a lot out, with what would bring it in; `null` where they do not. */
export function leftOutWords(hop: string, missing: readonly AnalyteId[]): string | null {
  if (missing.length === 0) return null;
  const figures = listed(missing.map(analyteName));
  return `Predictions use what is known of ${hop}. Designs leave it out until its analysis gives ${figures}.`;
}

/** What a lot is called: its variety, and its harvest where that is known. */
export function lotTitle({ hop, harvest_year }: SavedLot): string {
  return harvest_year === undefined ? hop : `${hop} ${harvest_year}`;
}

export const PACK_NAMES: Readonly<Record<NonNullable<SavedLot['pack']>, string>> = {
  vacuum: 'vacuum',
  inert_gas: 'inert gas',
  open: 'open to air',
};

/** What a figure of a lot's own analysis may be. */
export function analysisRange(analyte: AnalyteId): Range {
  return rangeOf(analysisSchema.shape[analyte]);
}
