// What comes into a workspace from outside: designs and lots of a file, beside what is there or in its
// place. Work grows with the file and with what is there, not with their product. Nothing of one's own is overwritten when it is merged: what is the same stays once, what
// differs under the same id comes in as a copy.
import type { WorkspaceReading } from '#shared/reading/read-workspace.ts';
import type { SavedDesign, SavedLot, WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { lotKey, nameBeside, newId, titleOf, workKey } from './documents.ts';

export interface Arrival {
  readonly document: WorkspaceDocument;
  /** How many come in, how many are there already. */
  readonly designs: { readonly fresh: number; readonly same: number };
  readonly lots: { readonly fresh: number; readonly same: number };
}

type Incoming = Pick<WorkspaceReading, 'designs' | 'lots' | 'usual' | 'open'>;

const idsOf = (all: readonly { readonly id: string }[]) => new Set(all.map(({ id }) => id));

/** Designs that are not there yet, under ids and names nobody bears; each work comes in once. */
function freshDesigns(mine: readonly SavedDesign[], theirs: readonly SavedDesign[]): SavedDesign[] {
  const works = new Set(mine.map(workKey));
  const names = new Set(mine.map(titleOf));
  const ids = idsOf(mine);
  return theirs.flatMap((design) => {
    const work = workKey(design);
    if (works.has(work)) return [];
    const title = titleOf(design);
    const name = nameBeside(names, title);
    const copy: SavedDesign = {
      ...design,
      ...(ids.has(design.id) && { id: newId() }),
      ...(name !== title && { brief: { ...design.brief, name } }),
    };
    works.add(work);
    names.add(name);
    ids.add(copy.id);
    return [copy];
  });
}

/** Lots that are not there yet, under ids nobody bears; of two bags alike each must find its own. */
function freshLots(mine: readonly SavedLot[], theirs: readonly SavedLot[]): SavedLot[] {
  const there = new Map<string, number>();
  for (const lot of mine) there.set(lotKey(lot), (there.get(lotKey(lot)) ?? 0) + 1);
  const ids = idsOf(mine);
  return theirs.flatMap((lot) => {
    const left = there.get(lotKey(lot)) ?? 0;
    if (left > 0) {
      there.set(lotKey(lot), left - 1);
      return [];
    }
    const copy = ids.has(lot.id) ? { ...lot, id: newId() } : lot;
    ids.add(copy.id);
    return [copy];
  });
}

/** Everything of the file beside everything that is there; the first that is new is opened. */
export function merged(document: WorkspaceDocument, incoming: Incoming): Arrival {
  const designs = freshDesigns(document.designs, incoming.designs);
  const lots = freshLots(document.lots, incoming.lots);
  const usual = document.usual ?? incoming.usual;
  const [first] = designs;
  return {
    document: {
      ...document,
      designs: [...document.designs, ...designs],
      lots: [...document.lots, ...lots],
      ...(usual && { usual }),
      ...(first && { open: first.id }),
    },
    designs: { fresh: designs.length, same: incoming.designs.length - designs.length },
    lots: { fresh: lots.length, same: incoming.lots.length - lots.length },
  };
}

/** The file in place of what is there; as it is where the file has no design. */
export function replaced(document: WorkspaceDocument, incoming: Incoming): WorkspaceDocument {
  const { designs, lots, usual, open } = incoming;
  const first = designs[0];
  if (!first) return document;
  const { format, version } = document;
  const opened = designs.some(({ id }) => id === open) ? open! : first.id;
  return {
    format,
    version,
    designs: [...designs],
    lots: [...lots],
    ...(usual && { usual }),
    open: opened,
  };
}
