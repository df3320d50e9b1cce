// What becomes of a part that two tabs have changed, and what one tab hears of the others' work. Two versions
// of a lot or a batch are merged field by field where the result is sound; otherwise both are kept.
import { check } from '#shared/reading/check.ts';
import type { SavedBatch } from '#shared/schemas/batch.ts';
import {
  isSingle,
  SINGLE_IDS,
  type SavedDesign,
  type SavedLot,
  type SinglesRead,
  type WorkspaceDocument,
} from '#shared/schemas/workspace.ts';
import { designIn, newId, sameWork, titleOf } from '#state/documents/documents.ts';
import { fieldByField } from '#state/documents/field-by-field.ts';
import type { NewsOutcome, News } from '#state/documents/keeping.ts';
import {
  batchId,
  designId,
  keyBeside,
  lotId,
  mergeableSchema,
  type Mergeable,
  type WorkspacePart,
} from './entries.ts';

export class Report implements News {
  readonly taken: {
    designs: Map<string, SavedDesign | null>;
    lots: Map<string, SavedLot | null>;
    batches: Map<string, SavedBatch | null>;
  } & Partial<SinglesRead> = { designs: new Map(), lots: new Map(), batches: new Map() };
  readonly clashes = new Map<string, SavedDesign | null>();
  readonly keptTwice: string[] = [];
  readonly shared = new Set<string>();

  take(key: string, part: WorkspacePart | null): void {
    const [design, lot, batch] = [designId(key), lotId(key), batchId(key)];
    if (design !== null) this.taken.designs.set(design, part as SavedDesign | null);
    else if (lot !== null) this.taken.lots.set(lot, part as SavedLot | null);
    else if (batch !== null) this.taken.batches.set(batch, part as SavedBatch | null);
    else if (isSingle(key)) Object.assign(this.taken, { [key]: part });
  }
}

/**
 * A record changed in two tabs, or here and on another device, since both saw `base`: the merged record if it
 * is sound; otherwise theirs in its place and mine as a further record, so that no work is lost. `null` where
 * the key belongs to another kind of part.
 */
export function recordsMet(
  key: string,
  base: WorkspacePart | null,
  mine: WorkspacePart,
  theirs: WorkspacePart,
): ReadonlyMap<string, Mergeable> | null {
  const schema = mergeableSchema(key);
  if (!schema) return null;
  const [here, there] = [mine as Mergeable, theirs as Mergeable];
  const merged = check(fieldByField(base, here, there), schema);
  if (merged.ok) return new Map([[key, merged.value]]);
  const copy = { ...here, id: newId() };
  return new Map([
    [key, there],
    [keyBeside(key, copy.id), copy],
  ]);
}

/** The name of a record in messages: the hop of a lot, the name of a batch. */
export function calledIn(part: Mergeable): string {
  if ('hop' in part) return part.hop;
  return 'brief' in part ? titleOf(part) : part.name || 'a batch';
}

/**
 * Which news this tab takes over, and where the person has to choose. What was changed here since the store was
 * asked with `asked` stays: saving merges the two.
 */
export function heardOf(
  { taken, clashes, shared, keptTwice }: News,
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
  const batches = still(present.batches, asked.batches, taken.batches);
  let clash: NewsOutcome['clash'] = null;
  for (const [id, theirs] of [...designs, ...clashes]) {
    const mine = designIn(present, id);
    if (!mine || (id !== present.open && !clashes.has(id))) continue;
    // It was merged field by field: no work of this person is lost.
    if (shared.has(id) && !clashes.has(id)) continue;
    // The same brief was answered in both tabs: nobody's work differs.
    if (theirs && sameWork(mine, theirs)) {
      designs.set(id, theirs);
      continue;
    }
    designs.delete(id);
    clash = { id, title: titleOf(mine), theirs, edited: clashes.has(id) };
  }
  const single: Partial<SinglesRead> = Object.fromEntries(
    SINGLE_IDS.filter((id) => taken[id] !== undefined && present[id] === asked[id]).map((id) => [
      id,
      taken[id],
    ]),
  );
  const lists = designs.size + lots.size + batches.size;
  const isNews = lists > 0 || Object.keys(single).length > 0;
  const elsewhere = { designs, lots, batches, ...single };
  return { elsewhere: isNews ? elsewhere : null, clash, keptTwice };
}
