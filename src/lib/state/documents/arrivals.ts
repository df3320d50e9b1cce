// What comes into a workspace from a file: its designs, lots and batches are added to what is there, or replace
// it. The work grows with the file plus what is there, not with their product. A merge overwrites nothing: what
// is the same is kept once, and what differs under the same id is added as a copy.
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
  /** How many are new, and how many are already there. */
  readonly designs: { readonly fresh: number; readonly same: number };
  readonly lots: { readonly fresh: number; readonly same: number };
  readonly batches: { readonly fresh: number; readonly same: number };
}

type Incoming = Omit<WorkspaceReading, 'problems'>;

/** What was added, and the id that each one of the file has here. */
interface Came<T> {
  readonly fresh: readonly T[];
  readonly idHere: ReadonlyMap<string, string>;
}

const idsOf = (all: readonly { readonly id: string }[]) => new Set(all.map(({ id }) => id));

/** Designs that are not there yet, with unused ids and names; equal designs are added once. */
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

/**
 * Lots that are not there yet, with unused ids; two equal lots of the file need two equal lots here to count as
 * there.
 */
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

/** Batches that are not there yet, with the ids that their design and lots have here. */
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

/** Designs that correct a batch, with the id that the batch has here. */
function following(
  designs: readonly SavedDesign[],
  batches: ReadonlyMap<string, string>,
): SavedDesign[] {
  return designs.map((design) => {
    const { follows } = design;
    return follows === undefined ? design : { ...design, follows: batches.get(follows) ?? follows };
  });
}

/** The season to be brewed next, with the ids that its designs have here. */
function inHere(incoming: Incoming, designs: ReadonlyMap<string, string>): Incoming {
  const { season } = incoming;
  if (!season) return incoming;
  const here = new Map(season.brews.map(({ design, on }) => [designs.get(design) ?? design, on]));
  const brews = [...here].map(([design, on]) => ({ design, on }));
  return { ...incoming, season: { ...season, brews } };
}

/** The document with those parts it has none of, of the kinds that exist at most once. */
function withOthers(document: WorkspaceDocument, singles: SinglesRead): WorkspaceDocument {
  return SINGLE_IDS.reduce(
    (all, id) => (all[id] ? all : withSingle<SingleId>(all, id, singles[id])),
    document,
  );
}

/** Adds everything of the file to what is there; the first new design is opened. */
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
  // Conflicting rows are shown with the own tables; the rows already here count.
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

/** The file in place of what is there; unchanged where the file has no design. */
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
