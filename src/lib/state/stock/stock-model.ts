// The questions of the stock that need the hop table, in one module that is loaded on demand: ages, candidates,
// and whether a variety is known.
import type { AnalyteId } from '#shared/ids.ts';
import { nameKey } from '#shared/name-key.ts';
import { findHop, knownHops, lotOf, missingForDesign, namesNear } from '#engine/lot/composition.ts';
import { stockCandidates } from '#engine/lot/lot-storage.ts';
import { model } from '#engine/tables/model.ts';
import type { ListedLot } from '#shared/lists/lot-list.ts';
import type { Problem } from '#shared/outcome.ts';
import type { Candidate } from '#shared/schemas/brief.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';
import { lotAge, type LotAge } from './lot-age.ts';

export { dayOf } from '#shared/lists/lot-dates.ts';

export function ageToday(lot: SavedLot, today: string): LotAge | string {
  return lotAge(model, lot, today);
}

export function candidatesToday(lots: readonly SavedLot[], today: string): Candidate[] {
  return stockCandidates(model, lots, today);
}

/**
 * Every hop of the table that may be offered; where the stock has the hop in that form, its lots take the place
 * of the table's.
 */
export function tableAndStock(lots: readonly SavedLot[], today: string): Candidate[] {
  const keyOf = ({ hop, form }: Pick<Candidate, 'hop' | 'form'>) => `${nameKey(hop)}|${form}`;
  const listed = new Set(lots.map(keyOf));
  const others = model.hops
    .filter(({ missing }) => missing.length === 0)
    .flatMap(({ name, forms }) => forms.map((form) => ({ hop: name, form })))
    .filter((candidate) => !listed.has(keyOf(candidate)));
  return [...candidatesToday(lots, today), ...others];
}

/** What keeps a lot from being predicted: an unknown variety, or an analysis without its oil. */
export function problemsOf(lot: Pick<ListedLot, 'hop' | 'form' | 'analysis'>): readonly Problem[] {
  const outcome = lotOf(model, lot);
  return outcome.ok ? [] : outcome.problems;
}

/**
 * Unknown figures of a lot that designs need. A lot with such figures is left out of designs; predictions use
 * what is known.
 */
export function missingForDesigns(
  lot: Pick<ListedLot, 'hop' | 'form' | 'analysis'>,
): readonly AnalyteId[] {
  const outcome = lotOf(model, lot);
  return outcome.ok ? missingForDesign(outcome.value) : [];
}

/** The names of the hop table, for reading lists. */
export const tableHops = knownHops(model);

/** The varieties that a name not in the table may mean; empty where the table has the name. */
export function meantBy({ hop }: Pick<ListedLot, 'hop'>): readonly string[] {
  return namesNear(model, hop);
}

/** Names that are not in the table, each once. */
export function namesNotInTable(lots: readonly Pick<ListedLot, 'hop'>[]): string[] {
  return [...new Set(lots.map(({ hop }) => hop))].filter((hop) => !findHop(model, hop));
}
