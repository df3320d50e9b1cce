// What is said of a stored lot, and what its laboratory figures may be.
import { ANALYTES, type AnalyteId } from '#shared/ids.ts';
import { analysisSchema } from '#shared/schemas/brief.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';
import { rangeOf, type Range } from '#shared/schemas/ranges.ts';

/** What a lot is called: its variety, and its harvest where that is known. */
export function lotTitle({ hop, harvest_year }: SavedLot): string {
  return harvest_year === undefined ? hop : `${hop} ${harvest_year}`;
}

export const PACK_NAMES: Readonly<Record<NonNullable<SavedLot['pack']>, string>> = {
  vacuum: 'vacuum',
  inert_gas: 'inert gas',
  open: 'open to air',
};

export const ANALYSIS_RANGES = Object.fromEntries(
  ANALYTES.map((analyte) => [analyte, rangeOf(analysisSchema.shape[analyte])]),
) as Record<AnalyteId, Range>;
