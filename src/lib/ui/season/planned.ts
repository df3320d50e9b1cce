// What the choice of beers and days that the workspace keeps asks of the search.
import type { Season } from '#shared/schemas/season.ts';
import type { PlannedSeason } from '#shared/schemas/planned-season.ts';
import type { SavedDesign, WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { designIn } from '#state/documents/documents.ts';
import { stockModel } from '#state/stock/stock-model.ts';

export const NOTHING_PLANNED: PlannedSeason = { minimise: 'weight', buys_any: false, brews: [] };

/** The beers that are planned, in the order of their days; those whose design is gone do not count. */
export function plannedBeers(
  document: WorkspaceDocument,
): { readonly design: SavedDesign; readonly on: string }[] {
  const { brews } = document.season ?? NOTHING_PLANNED;
  return brews
    .flatMap(({ design: id, on }) => {
      const design = designIn(document, id);
      return design ? [{ design, on }] : [];
    })
    .sort((a, b) => a.on.localeCompare(b.on));
}

/** The season of the planned beers, with the ids of their designs; `null` where none is planned or there are no lots. */
export function seasonOf(
  document: WorkspaceDocument,
  today: string,
): { readonly season: Season; readonly ids: readonly string[] } | null {
  const { minimise, buys_any: buysAny } = document.season ?? NOTHING_PLANNED;
  const planned = plannedBeers(document);
  if (planned.length === 0) return null;
  const there = document.lots.filter(({ out_of_stock: gone }) => !gone);
  const stock = stockModel(document.own_tables);
  const candidates = buysAny
    ? stock.tableAndStock(there, today)
    : stock.candidatesToday(there, today);
  if (candidates.length === 0) return null;
  const batches = planned.map(({ design: { brief }, on }) => ({
    brew_on: on < today ? today : on,
    brief,
  }));
  return {
    season: { name: '', as_of: today, minimise, candidates, batches },
    ids: planned.map(({ design: { id } }) => id),
  };
}
