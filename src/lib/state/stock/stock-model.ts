// What the stock asks of the hop table, as one piece that loads on demand: ages, candidates, and
// whether a variety is known.
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

/** Every offered hop of the table; what the stock has of one, in a form, as the stock has it. */
export function tableAndStock(lots: readonly SavedLot[], today: string): Candidate[] {
  const keyOf = ({ hop, form }: Pick<Candidate, 'hop' | 'form'>) => `${nameKey(hop)}|${form}`;
  const listed = new Set(lots.map(keyOf));
  const others = model.hops
    .filter(({ missing }) => missing.length === 0)
    .flatMap(({ name, forms }) => forms.map((form) => ({ hop: name, form })))
    .filter((candidate) => !listed.has(keyOf(candidate)));
  return [...candidatesToday(lots, today), ...others];
}

/** What keeps a lot from being predicted: a variety nobody knows, an analysis without its oil. */
export function problemsOf(lot: Pick<ListedLot, 'hop' | 'form' | 'analysis'>): readonly Problem[] {
  const outcome = lotOf(model, lot);
  return outcome.ok ? [] : outcome.problems;
}

/**
 * Figures of a lot that nobody gave: while there are some, designs leave it out, and predictions count of it
 * what is known.
 */
export function missingForDesigns(
  lot: Pick<ListedLot, 'hop' | 'form' | 'analysis'>,
): readonly AnalyteId[] {
  const outcome = lotOf(model, lot);
  return outcome.ok ? missingForDesign(outcome.value) : [];
}

/** The names of the hop table, for lists that come in. */
export const tableHops = knownHops(model);

/** The varieties that may be meant by a name the table does not have; none where it has it. */
export function meantBy({ hop }: Pick<ListedLot, 'hop'>): readonly string[] {
  return namesNear(model, hop);
}

/** Names the table does not have, each once. */
export function namesNotInTable(lots: readonly Pick<ListedLot, 'hop'>[]): string[] {
  return [...new Set(lots.map(({ hop }) => hop))].filter((hop) => !findHop(model, hop));
}
