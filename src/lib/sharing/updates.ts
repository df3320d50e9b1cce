// What an update of a freezer may be, to the server and to a device alike: only what a page writes. It is judged whole
// before any of it is taken in, for the library takes the good beginning of a broken one, and what it takes it keeps.
import { decodeUpdateV2, Item, UpdateDecoderV1 } from 'yjs';
import { SHARED_DEPTH_MAX } from '#shared/freezer-terms.ts';

/** What a page writes into a part, by the library's own numbers: what was deleted, and plain values. */
const WRITTEN: ReadonlySet<number> = new Set([1, 8]);
/** Most entries that one device can have written. */
const ENTRIES_MAX = 2 ** 31;

function isPlain(value: unknown, depth = 0): boolean {
  if (typeof value !== 'object' || value === null) return typeof value !== 'bigint';
  if (depth === SHARED_DEPTH_MAX) return false;
  return Object.values(value).every((own) => isPlain(own, depth + 1));
}

/** Whether an entry is a field of a part, as it is set, or one that comes after an older value of its own. */
function isField({ id, length, origin, rightOrigin, parent, parentSub, content }: Item): boolean {
  // Without a length it would stand where the next one stands, and neither is found again.
  if (length < 1 || id.clock + length > ENTRIES_MAX || rightOrigin) return false;
  if (!WRITTEN.has(content.getRef()) || !content.getContent().every((own) => isPlain(own)))
    return false;
  if (!origin) return typeof parent === 'string' && parentSub !== null;
  return origin.client !== id.client || origin.clock < id.clock;
}

/** Reads an update only as long as it brings no more than it may: millions of entries take seconds to read. */
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

/** What an update brings. */
export interface Brought {
  /** The parts it writes into, by name. */
  readonly parts: ReadonlySet<string>;
  /** How many entries and deletions: what it costs to take in. */
  readonly entries: number;
}

/**
 * What an update brings; `null` where it cannot be read, or holds what no page writes.
 * @param most entries to be read; of more than that it is only told that they are too many to count.
 */
export function broughtBy(update: Uint8Array, most = Infinity): Brought | null {
  try {
    const { structs, ds, entries } = decoded(update, most);
    const parts = new Set<string>();
    /** Where the entries of each device go on. */
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
