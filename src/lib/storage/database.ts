// The browser's own database: one record for each design and lot, stamped, so that two tabs can see
// what the other has written. Each change of the stores has its step in `upgrade`; nothing that an
// older version has kept is dropped on the way.
import { openDB, type DBSchema, type IDBPDatabase } from 'idb';

const DATABASE = 'blendbine';
/** Raised with every change of the stores below; `upgrade` then leads from each older one. */
const DATABASE_VERSION = 2;

/** One kept part. `value` is checked when it is read. */
export interface Entry {
  /** `design:<id>`, `lot:<id>`, `usual` or `order`. */
  readonly key: string;
  /** Another one after every write. */
  readonly stamp: string;
  /** Version of the document the value belongs to. */
  readonly version: number;
  readonly value: unknown;
}

interface Schema extends DBSchema {
  entries: { key: string; value: Entry };
}

/** The first version kept the one open brief, in a store of its own. */
const FIRST_STORE = 'briefs';
const FIRST_KEY = 'open';

function idOf(text: string): string {
  return text.toLowerCase().replace(/[^a-z0-9]/g, '-');
}

/** A stamp nobody has written before. */
export function newStamp(): string {
  return `${Date.now().toString(36)}-${Math.random().toString(36).slice(2)}`;
}

export function openDatabase(): Promise<IDBPDatabase<Schema>> {
  return openDB<Schema>(DATABASE, DATABASE_VERSION, {
    async upgrade(database, oldVersion, _, transaction) {
      const entries =
        oldVersion < 2 ? database.createObjectStore('entries', { keyPath: 'key' }) : null;
      if (oldVersion !== 1 || !entries) return;
      const old = transaction.objectStore(FIRST_STORE as 'entries');
      const kept = (await old.get(FIRST_KEY)) as unknown;
      const { brief, savedAt } = (kept ?? {}) as { brief?: unknown; savedAt?: unknown };
      if (brief !== undefined) {
        const time = Date.parse(String(savedAt));
        const saved_at = new Date(Number.isNaN(time) ? Date.now() : time).toISOString();
        const id = `own-${idOf(saved_at)}`;
        await entries.put({
          key: `design:${id}`,
          stamp: newStamp(),
          version: 1,
          value: { id, brief, saved_at },
        });
      }
      database.deleteObjectStore(FIRST_STORE as 'entries');
    },
    blocking(_, __, event) {
      (event.target as IDBDatabase).close();
    },
  });
}
