// From the parts in the database to a workspace and back. What cannot be read is named and left where
// it is: it may be from a newer version of this page.
import { check } from '#shared/check.ts';
import { scheduleSchema, type Schedule } from '#shared/schemas/brief.ts';
import {
  savedDesignSchema,
  savedLotSchema,
  WORKSPACE_VERSION,
  type SavedDesign,
  type SavedLot,
  type WorkspaceDocument,
} from '#shared/schemas/workspace.ts';
import { workspaceOf } from '#state/documents.ts';
import type { Entry } from './database.ts';

export type Part = SavedDesign | SavedLot | Schedule;

/** In what order parts are listed, and which design is open. */
export interface Order {
  readonly designs: readonly string[];
  readonly lots: readonly string[];
  readonly open: string;
}

export const ORDER = 'order';
export const USUAL = 'usual';
const DESIGN = 'design:';
const LOT = 'lot:';

/** The parts of a workspace by their key. */
export function partsOf({ designs, lots, usual }: WorkspaceDocument): Map<string, Part> {
  return new Map<string, Part>([
    ...designs.map((design) => [DESIGN + design.id, design] as const),
    ...lots.map((lot) => [LOT + lot.id, lot] as const),
    ...(usual ? [[USUAL, usual] as const] : []),
  ]);
}

export function orderOf({ designs, lots, open }: WorkspaceDocument): Order {
  return { designs: designs.map(({ id }) => id), lots: lots.map(({ id }) => id), open };
}

export type Read =
  | { readonly kind: 'part'; readonly part: Part }
  | { readonly kind: 'unreadable'; readonly reason: string };

export function readEntry({ key, version, value }: Entry): Read {
  if (version > WORKSPACE_VERSION) {
    return { kind: 'unreadable', reason: 'it was saved by a newer version of this page' };
  }
  const schema = key.startsWith(DESIGN)
    ? savedDesignSchema
    : key.startsWith(LOT)
      ? savedLotSchema
      : scheduleSchema;
  const checked = check<Part>(value, schema);
  if (checked.ok) return { kind: 'part', part: checked.value };
  const reason = checked.problems.map((p) => `${p.path}: ${p.message}`).join('; ');
  return { kind: 'unreadable', reason };
}

/** The id of a design or lot by its key; `null` for another part. */
export function designId(key: string): string | null {
  return key.startsWith(DESIGN) ? key.slice(DESIGN.length) : null;
}
export function lotId(key: string): string | null {
  return key.startsWith(LOT) ? key.slice(LOT.length) : null;
}

function sorted<T extends { readonly id: string }>(list: T[], ids: readonly string[]): T[] {
  const place = new Map(ids.map((id, i) => [id, i]));
  return list.sort((a, b) => (place.get(a.id) ?? Infinity) - (place.get(b.id) ?? Infinity));
}

/** The workspace of these parts; `null` without a design. */
export function assembled(
  parts: ReadonlyMap<string, Part>,
  order: Order | null,
): WorkspaceDocument | null {
  const of = <T>(prefix: string) =>
    [...parts].filter(([key]) => key.startsWith(prefix)).map(([, part]) => part as T);
  const [first, ...others] = sorted(of<SavedDesign>(DESIGN), order?.designs ?? []);
  if (!first) return null;
  const lots = sorted(of<SavedLot>(LOT), order?.lots ?? []);
  const document = workspaceOf([first, ...others], lots);
  const usual = parts.get(USUAL) as Schedule | undefined;
  const known = order && parts.has(DESIGN + order.open);
  return { ...document, ...(usual && { usual }), ...(known && { open: order.open }) };
}
