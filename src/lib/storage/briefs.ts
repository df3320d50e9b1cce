// The open brief in the browser's own database. What comes back is checked like any other document:
// an older shape is refused with a reason, never half-read.
import { openDB, type DBSchema, type IDBPDatabase } from 'idb';
import { check } from '#shared/read.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';

const DATABASE = 'blendbine';
/** Raised with every change of the stores below; `upgrade` then leads from each older one. */
const DATABASE_VERSION = 1;
/** Version of the document envelope. */
const ENVELOPE = 1;
const OPEN_BRIEF = 'open';

interface Envelope {
  readonly version: number;
  readonly savedAt: string;
  readonly brief: unknown;
}

interface Schema extends DBSchema {
  briefs: { key: string; value: Envelope };
}

function opened(): Promise<IDBPDatabase<Schema>> {
  return openDB<Schema>(DATABASE, DATABASE_VERSION, {
    upgrade(database, oldVersion) {
      if (oldVersion < 1) database.createObjectStore('briefs');
    },
  });
}

const reasonOf = (fault: unknown) => (fault instanceof Error ? fault.message : String(fault));

/** Keeps the brief; `null`, or why it could not be kept. */
export async function saveOpenBrief(brief: Brief): Promise<string | null> {
  try {
    const database = await opened();
    const envelope = { version: ENVELOPE, savedAt: new Date().toISOString(), brief };
    await database.put('briefs', envelope, OPEN_BRIEF);
    database.close();
    return null;
  } catch (fault) {
    return reasonOf(fault);
  }
}

export type Restored =
  | { readonly kind: 'none' }
  | { readonly kind: 'brief'; readonly brief: Brief }
  | { readonly kind: 'unreadable'; readonly reason: string };

/** The brief kept last, if there is one that can be read. */
export async function openBrief(): Promise<Restored> {
  try {
    const database = await opened();
    const envelope = await database.get('briefs', OPEN_BRIEF);
    database.close();
    if (!envelope) return { kind: 'none' };
    if (envelope.version > ENVELOPE) {
      return { kind: 'unreadable', reason: 'it was saved by a newer version of this page' };
    }
    const checked = check(envelope.brief, briefSchema);
    if (checked.ok) return { kind: 'brief', brief: checked.value };
    return { kind: 'unreadable', reason: checked.problems.map((p) => p.message).join('; ') };
  } catch (fault) {
    return { kind: 'unreadable', reason: reasonOf(fault) };
  }
}
