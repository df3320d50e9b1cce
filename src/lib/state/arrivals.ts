// What comes into a workspace from outside: designs and lots of a file, beside what is there or in its
// place. Nothing of one's own is overwritten when it is merged: what is the same stays once, what
// differs under the same id comes in as a copy.
import type { WorkspaceReading } from '#shared/read-workspace.ts';
import type { SavedLot, WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { freeName, newId, sameWork, titleOf, withDesign, withLot } from './documents.ts';

export interface Arrival {
  readonly document: WorkspaceDocument;
  /** How many come in, how many are there already. */
  readonly designs: { readonly fresh: number; readonly same: number };
  readonly lots: { readonly fresh: number; readonly same: number };
}

type Incoming = Pick<WorkspaceReading, 'designs' | 'lots' | 'usual' | 'open'>;

const sameLot = (a: SavedLot, b: SavedLot) =>
  JSON.stringify({ ...a, id: '' }) === JSON.stringify({ ...b, id: '' });

/** Everything of the file beside everything that is there; the first that is new is opened. */
export function merged(document: WorkspaceDocument, incoming: Incoming): Arrival {
  let result = document;
  const designs = { fresh: 0, same: 0 };
  const lots = { fresh: 0, same: 0 };
  for (const design of incoming.designs) {
    if (result.designs.some((d) => sameWork(d, design))) {
      designs.same += 1;
      continue;
    }
    const taken = result.designs.some(({ id }) => id === design.id);
    const name = freeName(result, titleOf(design));
    const copy = {
      ...design,
      ...(taken && { id: newId() }),
      ...(name !== titleOf(design) && { brief: { ...design.brief, name } }),
    };
    result = withDesign(result, copy);
    if (designs.fresh === 0) result = { ...result, open: copy.id };
    designs.fresh += 1;
  }
  for (const lot of incoming.lots) {
    if (result.lots.some((l) => sameLot(l, lot))) {
      lots.same += 1;
      continue;
    }
    const taken = result.lots.some(({ id }) => id === lot.id);
    result = withLot(result, taken ? { ...lot, id: newId() } : lot);
    lots.fresh += 1;
  }
  if (incoming.usual && !result.usual) result = { ...result, usual: incoming.usual };
  return { document: result, designs, lots };
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
