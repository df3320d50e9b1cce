// Takes what a batch has used out of the stock, once, and puts it back. A lot with the same figures comes
// first, then the oldest lot of the hop; what the stock does not hold is reported.
import { nameKey } from '#shared/name-key.ts';
import type { Drawn, SavedBatch } from '#shared/schemas/batch.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type { SavedLot, WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { withBatch } from '#state/documents/documents.ts';

export interface Drawing {
  readonly drawn: readonly Drawn[];
  /** Grams that no lot holds, by hop. */
  readonly short: readonly { readonly hop: string; readonly grams: number }[];
}

/** Below this weight a lot counts as empty, g: no scale shows less. */
const EMPTY_G = 0.005;
const tidy = (grams: number) => Math.round(grams * 1000) / 1000;

function fits(lot: SavedLot, { hop, form }: Addition): boolean {
  const has = (lot.grams_on_hand ?? 0) > 0 && !lot.out_of_stock;
  return has && lot.form === form && nameKey(lot.hop) === nameKey(hop);
}
const sameFigures = (lot: SavedLot, { analysis }: Addition) =>
  JSON.stringify(lot.analysis ?? {}) === JSON.stringify(analysis ?? {});

/** The grams to take from each lot for these additions. */
export function drawingOf(additions: readonly Addition[], lots: readonly SavedLot[]): Drawing {
  const left = new Map(lots.map((lot) => [lot.id, lot.grams_on_hand ?? 0]));
  const drawn = new Map<string, number>();
  const short = new Map<string, number>();
  for (const addition of additions) {
    let wanted = addition.grams;
    const order = lots
      .filter((lot) => fits(lot, addition))
      .sort(
        (a, b) =>
          Number(sameFigures(b, addition)) - Number(sameFigures(a, addition)) ||
          (a.harvest_year ?? Infinity) - (b.harvest_year ?? Infinity) ||
          0,
      );
    for (const { id } of order) {
      const taken = Math.min(wanted, left.get(id)!);
      if (taken <= 0) continue;
      left.set(id, left.get(id)! - taken);
      drawn.set(id, (drawn.get(id) ?? 0) + taken);
      wanted -= taken;
    }
    if (wanted > EMPTY_G) short.set(addition.hop, (short.get(addition.hop) ?? 0) + wanted);
  }
  return {
    drawn: [...drawn].map(([lot, grams]) => ({ lot, grams: tidy(grams) })),
    short: [...short].map(([hop, grams]) => ({ hop, grams: tidy(grams) })),
  };
}

function withGrams(lot: SavedLot, change: number): SavedLot {
  const grams_on_hand = Math.max(0, tidy((lot.grams_on_hand ?? 0) + change));
  return { ...lot, grams_on_hand, out_of_stock: grams_on_hand < EMPTY_G };
}

/**
 * The stock less what the batch has used, which the batch then records; unchanged where that was already done.
 */
export function withDrawn(document: WorkspaceDocument, batch: SavedBatch): WorkspaceDocument {
  if (batch.drawn.length > 0) return document;
  const { drawn } = drawingOf(batch.brewed.additions, document.lots);
  const taken = new Map(drawn.map(({ lot, grams }) => [lot, grams]));
  const lots = document.lots.map((lot) =>
    taken.has(lot.id) ? withGrams(lot, -taken.get(lot.id)!) : lot,
  );
  return withBatch({ ...document, lots }, { ...batch, drawn: [...drawn] });
}

/** The stock plus what the batch had taken, as far as its lots are still listed. */
export function withPutBack(document: WorkspaceDocument, batch: SavedBatch): WorkspaceDocument {
  const back = new Map(batch.drawn.map(({ lot, grams }) => [lot, grams]));
  const lots = document.lots.map((lot) =>
    back.has(lot.id) ? withGrams(lot, back.get(lot.id)!) : lot,
  );
  return withBatch({ ...document, lots }, { ...batch, drawn: [] });
}
