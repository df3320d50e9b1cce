// What becomes of a part that two tabs have changed, and what a tab is told of the others' work. Two
// versions of a lot are put together field by field where that makes a sound lot; else both are kept.
import { check } from '#shared/reading/check.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import {
  savedLotSchema,
  type SavedDesign,
  type SavedLot,
  type WorkspaceDocument,
} from '#shared/schemas/workspace.ts';
import { designIn, newId, sameWork, titleOf } from '#state/documents/documents.ts';
import type { NewsOutcome, News } from '#state/documents/keeping.ts';
import { designId, lotId, lotKey, type WorkspacePart } from './entries.ts';

export class Report implements News {
  readonly taken: {
    designs: Map<string, SavedDesign | null>;
    lots: Map<string, SavedLot | null>;
    usual?: Schedule | null;
  } = { designs: new Map(), lots: new Map() };
  readonly clashes = new Map<string, SavedDesign | null>();
  readonly keptTwice: string[] = [];

  take(key: string, part: WorkspacePart | null): void {
    const [design, lot] = [designId(key), lotId(key)];
    if (design !== null) this.taken.designs.set(design, part as SavedDesign | null);
    else if (lot !== null) this.taken.lots.set(lot, part as SavedLot | null);
    else this.taken.usual = part as Schedule | null;
  }
}

/** Each field as whoever changed it left it, here last. */
function fieldByField(base: WorkspacePart | null, mine: SavedLot, theirs: SavedLot): unknown {
  const before = (base ?? {}) as Record<string, unknown>;
  const same = (a: unknown, b: unknown) => a === b || JSON.stringify(a) === JSON.stringify(b);
  const own = Object.entries(mine).filter(([field, value]) => !same(before[field], value));
  const gone = Object.keys(before).filter((field) => !(field in mine));
  const kept = Object.entries(theirs).filter(([field]) => !gone.includes(field));
  return Object.fromEntries([...kept, ...own]);
}

/**
 * A lot changed in two tabs since both saw `base`: one sound lot, or theirs in its place and mine as a
 * lot of its own, so that neither work is lost.
 */
export function lotsMet(
  base: WorkspacePart | null,
  mine: SavedLot,
  theirs: SavedLot,
): ReadonlyMap<string, SavedLot> {
  const merged = check<SavedLot>(fieldByField(base, mine, theirs), savedLotSchema);
  if (merged.ok) return new Map([[lotKey(mine), merged.value]]);
  const copy = { ...mine, id: newId() };
  return new Map([
    [lotKey(theirs), theirs],
    [lotKey(copy), copy],
  ]);
}

/**
 * What of the news is taken in, and where the person has to choose. What was changed here since the
 * store was asked with `asked` stays: saving meets the two.
 */
export function heardOf(
  { taken, clashes, keptTwice }: News,
  asked: WorkspaceDocument,
  present: WorkspaceDocument,
): NewsOutcome {
  const still = <T extends { readonly id: string }, N>(
    now: readonly T[],
    then: readonly T[],
    news: ReadonlyMap<string, N>,
  ) => {
    const memberOf = (list: readonly T[], id: string) => list.find((member) => member.id === id);
    const isStill = ([id]: readonly [string, N]) =>
      now === then || memberOf(now, id) === memberOf(then, id);
    return new Map([...news].filter(isStill));
  };
  const designs = still(present.designs, asked.designs, taken.designs);
  const lots = still(present.lots, asked.lots, taken.lots);
  const usual = present.usual === asked.usual ? taken.usual : undefined;
  let clash: NewsOutcome['clash'] = null;
  for (const [id, theirs] of [...designs, ...clashes]) {
    const mine = designIn(present, id);
    if (!mine || (id !== present.open && !clashes.has(id))) continue;
    // The same brief answered in both tabs: nobody's work differs.
    if (theirs && sameWork(mine, theirs)) {
      designs.set(id, theirs);
      continue;
    }
    designs.delete(id);
    clash = { id, title: titleOf(mine), theirs, edited: clashes.has(id) };
  }
  const isNews = designs.size > 0 || lots.size > 0 || usual !== undefined;
  const elsewhere = { designs, lots, ...(usual !== undefined && { usual }) };
  return { elsewhere: isNews ? elsewhere : null, clash, keptTwice };
}
