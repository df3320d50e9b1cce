// What a closing page could not finish writing. It leaves its unwritten parts in one record of its own, without
// reading the database, because a closing page gets no answer any more. The next page applies them to what is
// kept and writes them like its own edits. A record names the earlier records whose edits it includes: those
// are ignored.
import { onFirstUse, z } from '#shared/zod.ts';
import { WORKSPACE_VERSION } from '#shared/schemas/workspace.ts';
import type { Unread } from '#state/documents/keeping.ts';
import type { LeftRecord } from './database.ts';
import {
  orderSchema,
  readEntry,
  samePart,
  type Order,
  type WorkspacePart,
  type SeenPart,
  type Stamp,
  type StoreReading,
} from './entries.ts';

/** One part as its page held it: changed, added, or (`null`) deleted. */
interface LeftPart {
  readonly key: string;
  /** Stamps that the stored part may have if nobody else has written it. */
  readonly stamps: readonly Stamp[];
  /** The part as its page last saw it in the store. */
  readonly was: WorkspacePart | null;
  readonly part: WorkspacePart | null;
}

export interface LeftEdits {
  readonly order: Order;
  /** Earlier records whose edits this one includes. */
  readonly over: readonly string[];
  readonly parts: readonly LeftPart[];
}

const leftSchema = onFirstUse(() =>
  z.object({
    order: orderSchema,
    over: z._default(z.array(z.string()), []),
    parts: z.array(
      z.object({
        key: z.string(),
        stamps: z.array(z.nullable(z.string())).check(z.minLength(1)),
        was: z.unknown(),
        part: z.unknown(),
      }),
    ),
  }),
);

function readLeft({ version, value }: LeftRecord): LeftEdits | { readonly reason: string } {
  if (typeof version === 'number' && version > WORKSPACE_VERSION) {
    return { reason: 'they were left by a newer version of this page' };
  }
  const checked = leftSchema.safeParse(value);
  if (!checked.success) return { reason: 'the record is not whole' };
  const parts: LeftPart[] = [];
  for (const { key, stamps, was, part } of checked.data.parts) {
    const [before, after] = [was, part].map((value) =>
      value === null ? null : readEntry({ key, version, value }),
    );
    if (after?.kind === 'unreadable') return { reason: after.reason };
    parts.push({
      key,
      stamps,
      was: before?.kind === 'part' ? before.part : null,
      part: after?.part ?? null,
    });
  }
  return { order: checked.data.order, over: checked.data.over, parts };
}

/** What the store holds, with the edits that closing pages left applied to it. */
export interface StoreWithLeftEdits {
  readonly parts: ReadonlyMap<string, WorkspacePart>;
  /** How each part stood in the store, as the page that left its edits knew it. */
  readonly seen: ReadonlyMap<string, SeenPart>;
  readonly order: Order | null;
  readonly unread: readonly Unread[];
  /** Pages whose records are included; they are removed once the workspace is written. */
  readonly pages: readonly string[];
}

export function laidOver(
  { parts: kept, order: listed, unread }: StoreReading,
  records: readonly LeftRecord[],
): StoreWithLeftEdits {
  const parts = new Map<string, WorkspacePart>([...kept].map(([key, { part }]) => [key, part]));
  const seen = new Map<string, SeenPart>(kept);
  const unreadable = [...unread];
  const pages: string[] = [];
  let order = listed;
  const read = records.map((record) => ({ record, left: readLeft(record) }));
  const replaced = new Set(read.flatMap(({ left }) => ('over' in left ? left.over : [])));
  for (const { record, left } of read) {
    if (replaced.has(record.page)) {
      pages.push(record.page);
      continue;
    }
    if ('reason' in left) {
      unreadable.push({ what: 'edits of a page that was closed', reason: left.reason, record });
      continue;
    }
    pages.push(record.page);
    order = left.order;
    for (const { key, stamps, was, part } of left.parts) {
      const stored = kept.get(key) ?? { stamp: null, part: null };
      const isOwn = stamps.includes(stored.stamp);
      if (samePart(stored.part, part) || (!isOwn && part === null)) continue;
      if (part) parts.set(key, part);
      else parts.delete(key);
      // Where somebody else has written the part meanwhile, saving merges the two like those of two tabs.
      if (!isOwn) seen.set(key, { stamp: stamps[0]!, part: was });
    }
  }
  return { parts, seen, order, unread: unreadable, pages };
}
