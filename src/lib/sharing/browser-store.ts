// The shared freezer in the browser's own database, beside the records with which it is brought in step: one
// transaction covers both. Everything read from it is checked before it is used.
import { Connection, type Database } from '#storage/database.ts';
import { readMembership, writeMembership, type Membership } from '#storage/membership.ts';
import { readEntry, stampOf, type WorkspacePart } from '#storage/entries.ts';
import { WORKSPACE_VERSION } from '#shared/schemas/workspace.ts';
import type { ShareStore, StoredShare, Turn } from './replica.ts';
import type { LocalRecord, CommonPart } from './meeting.ts';

/** Above this number, updates are merged into one. */
const MOST_UPDATES = 100;
const ORDER = 'order';

function metOf(record: unknown): CommonPart | null {
  const { key, stamp, part } = record as Partial<CommonPart>;
  const isSound = typeof key === 'string' && typeof part === 'object';
  if (!isSound || (stamp !== null && typeof stamp !== 'string')) return null;
  return { key, stamp, part };
}

export class BrowserStore implements ShareStore {
  readonly #connection = new Connection({ emptied: () => undefined, blocked: () => undefined });

  close(): void {
    this.#connection.close();
  }

  async membership(): Promise<Membership | null> {
    return readMembership(await this.#connection.open());
  }

  async join(membership: Membership): Promise<void> {
    await writeMembership(await this.#connection.open(), membership);
  }

  async turn(since: number, work: (stored: StoredShare) => Turn): Promise<number> {
    return turnIn(await this.#connection.open(), since, work);
  }
}

async function turnIn(
  database: Database,
  since: number,
  work: (stored: StoredShare) => Turn,
): Promise<number> {
  const transaction = database.transaction(
    ['entries', 'shared_met', 'shared_updates'],
    'readwrite',
  );
  // A failed request also ends the transaction; its error must not be reported twice.
  transaction.done.catch(() => undefined);
  const [entries, known, log] = [
    transaction.objectStore('entries'),
    transaction.objectStore('shared_met'),
    transaction.objectStore('shared_updates'),
  ];
  const unseen = IDBKeyRange.lowerBound(since, true);
  const [records, mets, keys, updates, count] = await Promise.all([
    entries.getAll(),
    known.getAll(),
    log.getAllKeys(unseen),
    log.getAll(unseen),
    log.count(),
  ]);
  const local = new Map<string, LocalRecord>();
  for (const entry of records) {
    if (entry.key === ORDER || typeof entry.key !== 'string') continue;
    const read = readEntry(entry);
    const part: WorkspacePart | null = read.kind === 'part' ? read.part : null;
    local.set(entry.key, { stamp: stampOf(entry), part });
  }
  const met = new Map(mets.flatMap((record) => metOf(record) ?? []).map((m) => [m.key, m]));
  let added: Promise<number> | null = null;
  try {
    const turn = work({ local, met, updates: updates.filter((u) => u instanceof Uint8Array) });
    for (const [key, { stamp, part }] of turn.puts) {
      const done = part
        ? entries.put({ key, stamp, version: WORKSPACE_VERSION, value: part })
        : entries.delete(key);
      done.catch(() => undefined);
    }
    for (const record of turn.met) known.put({ ...record }).catch(() => undefined);
    if (turn.update) {
      if (count >= MOST_UPDATES) log.clear().catch(() => undefined);
      added = log.add(count >= MOST_UPDATES ? turn.whole() : turn.update);
      added.catch(() => undefined);
    }
    transaction.commit();
  } catch (fault) {
    transaction.abort();
    throw fault;
  }
  await transaction.done;
  return (await added) ?? keys.at(-1) ?? since;
}
