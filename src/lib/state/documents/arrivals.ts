// What comes into a workspace from outside: designs, lots and batches of a file, beside what is there
// or in its place. Work grows with the file and with what is there, not with their product. Nothing of
// one's own is overwritten when it is merged: what is the same stays once, what differs under the same id
// comes in as a copy.
import type { WorkspaceReading } from '#shared/reading/read-workspace.ts';
import type { SavedBatch } from '#shared/schemas/batch.ts';
import {
  SINGLE_IDS,
  type SavedDesign,
  type SavedLot,
  type SingleId,
  type SinglesRead,
  type WorkspaceDocument,
} from '#shared/schemas/workspace.ts';
import { withOwn } from '#shared/tables/own-tables.ts';
import { batchKey, lotKey, nameBeside, newId, titleOf, withSingle, workKey } from './documents.ts';

export interface Arrival {
  readonly document: WorkspaceDocument;
  /** How many come in, how many are there already. */
  readonly designs: { readonly fresh: number; readonly same: number };
  readonly lots: { readonly fresh: number; readonly same: number };
  readonly batches: { readonly fresh: number; readonly same: number };
}

type Incoming = Omit<WorkspaceReading, 'problems'>;

/** What came in, and under which id each of the file stands here now. */
interface Came<T> {
  readonly fresh: readonly T[];
  readonly idHere: ReadonlyMap<string, string>;
}

const idsOf = (all: readonly { readonly id: string }[]) => new Set(all.map(({ id }) => id));

/** Designs that are not there yet, under ids and names nobody bears; each work comes in once. */
function freshDesigns(
  mine: readonly SavedDesign[],
  theirs: readonly SavedDesign[],
): Came<SavedDesign> {
  const works = new Map(mine.map((design) => [workKey(design), design.id]));
  const idHere = new Map<string, string>();
  const names = new Set(mine.map(titleOf));
  const ids = idsOf(mine);
  const fresh = theirs.flatMap((design) => {
    const work = workKey(design);
    const there = works.get(work);
    if (there !== undefined) {
      idHere.set(design.id, there);
      return [];
    }
    const title = titleOf(design);
    const name = nameBeside(names, title);
    const copy: SavedDesign = {
      ...design,
      ...(ids.has(design.id) && { id: newId() }),
      ...(name !== title && { brief: { ...design.brief, name } }),
    };
    works.set(work, copy.id);
    names.add(name);
    ids.add(copy.id);
    idHere.set(design.id, copy.id);
    return [copy];
  });
  return { fresh, idHere };
}

/** Lots that are not there yet, under ids nobody bears; of two bags alike each must find its own. */
function freshLots(mine: readonly SavedLot[], theirs: readonly SavedLot[]): Came<SavedLot> {
  const there = new Map<string, string[]>();
  for (const lot of mine) {
    const key = lotKey(lot);
    const alike = there.get(key);
    if (alike) alike.push(lot.id);
    else there.set(key, [lot.id]);
  }
  const idHere = new Map<string, string>();
  const ids = idsOf(mine);
  const fresh = theirs.flatMap((lot) => {
    const same = there.get(lotKey(lot))?.shift();
    if (same !== undefined) {
      idHere.set(lot.id, same);
      return [];
    }
    const copy = ids.has(lot.id) ? { ...lot, id: newId() } : lot;
    ids.add(copy.id);
    idHere.set(lot.id, copy.id);
    return [copy];
  });
  return { fresh, idHere };
}

/** Batches that are not there yet, each pointing at its design and lots as they are called here. */
function freshBatches(
  mine: readonly SavedBatch[],
  theirs: readonly SavedBatch[],
  designs: ReadonlyMap<string, string>,
  lots: ReadonlyMap<string, string>,
): Came<SavedBatch> {
  const known = new Map(mine.map((batch) => [batchKey(batch), batch.id]));
  const idHere = new Map<string, string>();
  const ids = idsOf(mine);
  const fresh = theirs.flatMap((batch) => {
    const { design, drawn } = batch;
    const placed: SavedBatch = {
      ...batch,
      ...(design !== undefined && { design: designs.get(design) ?? design }),
      drawn: drawn.map(({ lot, grams }) => ({ lot: lots.get(lot) ?? lot, grams })),
    };
    const there = known.get(batchKey(placed));
    if (there !== undefined) {
      idHere.set(batch.id, there);
      return [];
    }
    const copy = ids.has(placed.id) ? { ...placed, id: newId() } : placed;
    known.set(batchKey(copy), copy.id);
    ids.add(copy.id);
    idHere.set(batch.id, copy.id);
    return [copy];
  });
  return { fresh, idHere };
}

/** Designs that follow batches, each pointing at its batch as it is called here. */
function following(
  designs: readonly SavedDesign[],
  batches: ReadonlyMap<string, string>,
): SavedDesign[] {
  return designs.map((design) => {
    const { follows } = design;
    return follows === undefined ? design : { ...design, follows: batches.get(follows) ?? follows };
  });
}

/** What is to be brewed next, its designs as they are called here. */
function inHere(incoming: Incoming, designs: ReadonlyMap<string, string>): Incoming {
  const { season } = incoming;
  if (!season) return incoming;
  const here = new Map(season.brews.map(({ design, on }) => [designs.get(design) ?? design, on]));
  const brews = [...here].map(([design, on]) => ({ design, on }));
  return { ...incoming, season: { ...season, brews } };
}

/** With those parts of which there is one at most that it has not. */
function withOthers(document: WorkspaceDocument, singles: SinglesRead): WorkspaceDocument {
  return SINGLE_IDS.reduce(
    (all, id) => (all[id] ? all : withSingle<SingleId>(all, id, singles[id])),
    document,
  );
}

/** Everything of the file beside everything that is there; the first that is new is opened. */
export function merged(document: WorkspaceDocument, incoming: Incoming): Arrival {
  const { fresh: designs, idHere } = freshDesigns(document.designs, incoming.designs);
  const { fresh: lots, idHere: lotHere } = freshLots(document.lots, incoming.lots);
  const { fresh: batches, idHere: batchHere } = freshBatches(
    document.batches,
    incoming.batches,
    idHere,
    lotHere,
  );
  const singles = withOthers(document, inHere(incoming, idHere));
  // Rows that clash are told where own tables are shown; one's own count.
  const own_tables = incoming.own_tables && withOwn(document.own_tables ?? {}, incoming.own_tables);
  const [first] = designs;
  return {
    document: {
      ...singles,
      designs: [...document.designs, ...following(designs, batchHere)],
      lots: [...document.lots, ...lots],
      batches: [...document.batches, ...batches],
      ...(own_tables && { own_tables }),
      ...(first && { open: first.id }),
    },
    designs: { fresh: designs.length, same: incoming.designs.length - designs.length },
    lots: { fresh: lots.length, same: incoming.lots.length - lots.length },
    batches: { fresh: batches.length, same: incoming.batches.length - batches.length },
  };
}

/** The file in place of what is there; as it is where the file has no design. */
export function replaced(document: WorkspaceDocument, incoming: Incoming): WorkspaceDocument {
  const { designs, lots, batches, open } = incoming;
  const first = designs[0];
  if (!first) return document;
  const { format, version } = document;
  const opened = designs.some(({ id }) => id === open) ? open! : first.id;
  return withOthers(
    {
      format,
      version,
      designs: [...designs],
      lots: [...lots],
      batches: [...batches],
      open: opened,
    },
    incoming,
  );
}
