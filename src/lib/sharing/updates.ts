// Which updates of a freezer are accepted, by the server and by a device alike: only what a page writes. An
// update is judged whole before any of it is applied, because the library applies the sound beginning of a
// broken one and cannot take it back.
import { decodeUpdateV2, Item, UpdateDecoderV1 } from 'yjs';
import { SHARED_DEPTH_MAX } from '#shared/freezer-terms.ts';

/** Kinds of content a page writes into a part, by the library's own numbers: deleted entries and plain values. */
const WRITTEN: ReadonlySet<number> = new Set([1, 8]);
/** Most entries that one device can have written. */
const ENTRIES_MAX = 2 ** 31;

function isPlain(value: unknown, depth = 0): boolean {
  if (typeof value !== 'object' || value === null) return typeof value !== 'bigint';
  if (depth === SHARED_DEPTH_MAX) return false;
  return Object.values(value).every((own) => isPlain(own, depth + 1));
}

/** Whether an entry sets a field of a part, or follows an older value of the same field. */
function isField({ id, length, origin, rightOrigin, parent, parentSub, content }: Item): boolean {
  // An entry without a length would have the position of the next one, and neither would be found again.
  if (length < 1 || id.clock + length > ENTRIES_MAX || rightOrigin) return false;
  if (!WRITTEN.has(content.getRef()) || !content.getContent().every((own) => isPlain(own)))
    return false;
  if (!origin) return typeof parent === 'string' && parentSub !== null;
  return origin.client !== id.client || origin.clock < id.clock;
}

/** Reads an update only up to the permitted number of entries: reading millions takes seconds. */
function decoded(update: Uint8Array, most: number) {
  let entries = 0;
  const count = () => {
    entries += 1;
    if (entries > most) throw new TooMany();
  };
  class CountingDecoder extends UpdateDecoderV1 {
    override readInfo(): number {
      count();
      return super.readInfo();
    }
    override readDsClock(): number {
      count();
      return super.readDsClock();
    }
  }
  return { ...decodeUpdateV2(update, CountingDecoder), entries };
}
class TooMany extends Error {}

/** What an update contains. */
export interface Brought {
  /** Names of the parts it writes into. */
  readonly parts: ReadonlySet<string>;
  /** Number of entries and deletions: the cost of applying it. */
  readonly entries: number;
}

/**
 * What an update contains; `null` where it cannot be read, or holds what no page writes.
 * @param most entries to read; for a larger update only the fact that it is too large is returned.
 */
export function broughtBy(update: Uint8Array, most = Infinity): Brought | null {
  try {
    const { structs, ds, entries } = decoded(update, most);
    const parts = new Set<string>();
    /** For each device, the number of its next entry. */
    const next = new Map<number, number>();
    let device: number | null = null;
    for (const struct of structs) {
      const { client, clock } = struct.id;
      const isNext = client === device ? next.get(client) === clock : !next.has(client);
      if (!isNext || !(struct instanceof Item) || !isField(struct)) return null;
      device = client;
      next.set(client, clock + struct.length);
      if (typeof struct.parent === 'string') parts.add(struct.parent);
    }
    const deleted = [...ds.clients.values()].flat();
    const isSound = deleted.every(({ clock, len }) => len > 0 && clock + len <= ENTRIES_MAX);
    return isSound ? { parts, entries } : null;
  } catch (fault) {
    return fault instanceof TooMany ? { parts: new Set(), entries: Infinity } : null;
  }
}
