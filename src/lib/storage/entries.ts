// Converts records of the database to parts of a workspace and back. The key of a record decides what it is and
// which id its part has, so no two parts can have the same id. A record that cannot be read is named and left
// in place: it may be from a newer version of this page.
import { onFirstUse, z } from '#shared/zod.ts';
import { check } from '#shared/reading/check.ts';
import { savedBatchSchema, type SavedBatch } from '#shared/schemas/batch.ts';
import {
  savedDesignSchema,
  isSingle,
  savedLotSchema,
  SINGLE_IDS,
  SINGLE_PARTS,
  WORKSPACE_VERSION,
  type SavedDesign,
  type SavedLot,
  type SingleId,
  type SinglePart,
  type WorkspaceDocument,
} from '#shared/schemas/workspace.ts';
import { blankBrief, savedDesign, workspaceOf } from '#state/documents/documents.ts';
import type { Unread } from '#state/documents/keeping.ts';
import type { Entry } from './database.ts';

/** A part that exists at most once is kept under the name of its field. */
export type WorkspacePart = SavedDesign | SavedLot | SavedBatch | SinglePart;

/** The order in which parts are listed, and which design is open. */
export const orderSchema = onFirstUse(() =>
  z.object({
    designs: z.array(z.string()),
    lots: z.array(z.string()),
    /** Absent in records written before there were batches. */
    batches: z._default(z.array(z.string()), []),
    open: z.string(),
  }),
);
export type Order = z.infer<typeof orderSchema>;

/** Stamp of a record; `null` where there is none. */
export type Stamp = string | null;

/** A part as it stood in the database when this tab last read it; `null`: deleted. */
export interface SeenPart {
  readonly stamp: Stamp;
  readonly part: WorkspacePart | null;
}

export const ORDER = 'order';
const DESIGN = 'design:';
const LOT = 'lot:';
const BATCH = 'batch:';
/** Prefix of the key of an unreadable record that was moved, because a part needed its key. */
export const ASIDE = 'aside:';

/** The parts of a workspace by their key. */
export function partsOf({
  designs,
  lots,
  batches,
  ...singles
}: WorkspaceDocument): Map<string, WorkspacePart> {
  return new Map<string, WorkspacePart>([
    ...designs.map((design) => [DESIGN + design.id, design] as const),
    ...lots.map((lot) => [LOT + lot.id, lot] as const),
    ...batches.map((batch) => [BATCH + batch.id, batch] as const),
    ...SINGLE_IDS.flatMap((id) => (singles[id] ? [[id, singles[id]] as const] : [])),
  ]);
}

export function orderOf({ designs, lots, batches, open }: WorkspaceDocument): Order {
  const ids = (list: readonly { readonly id: string }[]) => list.map(({ id }) => id);
  return { designs: ids(designs), lots: ids(lots), batches: ids(batches), open };
}

/** The id of a design, lot or batch by its key; `null` for another part. */
export function designId(key: string): string | null {
  return key.startsWith(DESIGN) ? key.slice(DESIGN.length) : null;
}
export function lotId(key: string): string | null {
  return key.startsWith(LOT) ? key.slice(LOT.length) : null;
}
export function batchId(key: string): string | null {
  return key.startsWith(BATCH) ? key.slice(BATCH.length) : null;
}

/** Parts of which two changed versions can be merged. */
export type Mergeable = SavedDesign | SavedLot | SavedBatch;
/** The schema of the design, lot or batch with that key; `null` for another part. */
export function mergeableSchema(key: string): z.ZodMiniType<Mergeable> | null {
  if (designId(key) !== null) return savedDesignSchema;
  if (lotId(key) !== null) return savedLotSchema;
  return batchId(key) !== null ? savedBatchSchema : null;
}
/** The key of a further record of the same kind. */
export function keyBeside(key: string, id: string): string {
  return key.slice(0, key.indexOf(':') + 1) + id;
}

/** Whether two parts hold the same; both have their fields in the order of the schema. */
export function samePart(a: WorkspacePart | null, b: WorkspacePart | null): boolean {
  return a === b || JSON.stringify(a) === JSON.stringify(b);
}

/** The stamp of a record; records without a usable stamp share one. */
export function stampOf(entry: Entry | undefined): Stamp {
  if (!entry) return null;
  return typeof entry.stamp === 'string' ? entry.stamp : '';
}

export type Read =
  | { readonly kind: 'part'; readonly part: WorkspacePart }
  | { readonly kind: 'unreadable'; readonly reason: string };

const NEWER = 'it was saved by a newer version of this page';

/** The part in a record. If its id differs from that in the key, the key's id counts. */
export function readEntry({ key, version, value }: Omit<Entry, 'stamp'>): Read {
  if (typeof version === 'number' && version > WORKSPACE_VERSION) {
    return { kind: 'unreadable', reason: NEWER };
  }
  if (typeof key !== 'string') return { kind: 'unreadable', reason: 'its kind is not known' };
  if (key.startsWith(ASIDE)) {
    return { kind: 'unreadable', reason: 'it could not be read when it was replaced' };
  }
  const id = designId(key) ?? lotId(key) ?? batchId(key);
  const schema: z.ZodMiniType<WorkspacePart> | null =
    mergeableSchema(key) ?? (isSingle(key) ? SINGLE_PARTS[key] : null);
  if (!schema) return { kind: 'unreadable', reason: NEWER };
  const named = id !== null && typeof value === 'object' ? { ...value, id } : value;
  const checked = check<WorkspacePart>(named, schema);
  if (checked.ok) return { kind: 'part', part: checked.value };
  const reason = checked.problems.map((p) => `${p.path}: ${p.message}`).join('; ');
  return { kind: 'unreadable', reason };
}

/** Names of the parts that exist at most once. */
export const SINGLE_NAMES: Readonly<Record<SingleId, string>> = {
  usual: 'the usual schedule',
  learning: 'what tastings taught',
  own_tables: 'the tables of your own',
  season: 'the season',
};

/** The name of a record in messages, as far as it can be read. */
function whatOf({ key, value }: Entry): string {
  const text = String(key);
  const within = (of: unknown, ...path: readonly string[]) =>
    path.reduce<unknown>((at, step) => (at as Record<string, unknown> | null)?.[step], of);
  const named = (noun: string, name: unknown) =>
    typeof name === 'string' && name.trim() !== '' ? `the ${noun} “${name.slice(0, 60)}”` : null;
  if (text.startsWith(DESIGN)) return named('design', within(value, 'brief', 'name')) ?? 'a design';
  if (text.startsWith(LOT)) return named('lot', within(value, 'hop')) ?? 'a lot';
  if (text.startsWith(BATCH)) return named('batch', within(value, 'name')) ?? 'a batch';
  if (isSingle(text)) return SINGLE_NAMES[text];
  if (text.startsWith(ASIDE)) {
    const inner = within(value, 'key');
    const aside = typeof inner === 'string' && !inner.startsWith(ASIDE) ? inner : '';
    return whatOf({ ...(value as Entry), key: aside });
  }
  return 'a part of a kind not known here';
}

/** The contents of the store's records. */
export interface StoreReading {
  readonly parts: ReadonlyMap<string, SeenPart & { readonly part: WorkspacePart }>;
  /** `null` where the record is missing or wrong. */
  readonly order: Order | null;
  readonly unread: readonly Unread[];
}

export function readStore(entries: readonly Entry[]): StoreReading {
  const parts = new Map<string, SeenPart & { part: WorkspacePart }>();
  const unread: Unread[] = [];
  let order: Order | null = null;
  for (const entry of entries) {
    if (entry.key === ORDER) {
      order = orderSchema.safeParse(entry.value).data ?? null;
      continue;
    }
    const read = readEntry(entry);
    if (read.kind === 'part') parts.set(entry.key, { stamp: stampOf(entry), part: read.part });
    else unread.push({ what: whatOf(entry), reason: read.reason, record: entry });
  }
  return { parts, order, unread };
}

function sorted<T extends { readonly id: string }>(list: T[], ids: readonly string[]): T[] {
  const place = new Map(ids.map((id, i) => [id, i]));
  const placeOf = ({ id }: T) => place.get(id) ?? ids.length;
  return list.sort((a, b) => placeOf(a) - placeOf(b));
}

/**
 * The workspace made of these parts; a blank design is added where there is none. Parts missing from the order
 * come last, in the order of the store.
 */
export function assembled(
  parts: ReadonlyMap<string, WorkspacePart>,
  order: Order | null,
  starter: WorkspaceDocument,
): WorkspaceDocument {
  const all = [...parts];
  const listed = <T extends WorkspacePart & { readonly id: string }>(
    idOf: (key: string) => string | null,
    ids: readonly string[] = [],
  ) =>
    sorted(
      all.filter(([key]) => idOf(key) !== null).map(([, part]) => part as T),
      ids,
    );
  const designs = listed<SavedDesign>(designId, order?.designs);
  const lots = listed<SavedLot>(lotId, order?.lots);
  const batches = listed<SavedBatch>(batchId, order?.batches);
  const [first = savedDesign(blankBrief(starter.designs[0]!.brief, 'Untitled')), ...others] =
    designs;
  const document = workspaceOf([first, ...others], lots, batches);
  const singles = SINGLE_IDS.flatMap((id) => (parts.has(id) ? [[id, parts.get(id)]] : []));
  const known = order && parts.has(DESIGN + order.open);
  return {
    ...document,
    ...(Object.fromEntries(singles) as Pick<WorkspaceDocument, SingleId>),
    ...(known && { open: order.open }),
  };
}
