// Keeps the workspace in the database and watches what other tabs keep there. A part is written only
// if nobody else has written it since this tab read it; both are seen in one transaction, so nothing
// saved is ever overwritten unseen. Only what has reached the document is ever written or deleted.
// Every failure comes back with what can be done about it.
import {
  WORKSPACE_VERSION,
  type SavedDesign,
  type WorkspaceDocument,
} from '#shared/schemas/workspace.ts';
import { newId } from '#state/documents/documents.ts';
import type { Fault, Kept, Keeper, Loaded, News } from '#state/documents/keeping.ts';
import {
  causeOf,
  Connection,
  FIRST_ID,
  isSharedStamp,
  newStamp,
  type Database,
  type Entry,
} from './database.ts';
import {
  ASIDE,
  assembled,
  designId,
  ORDER,
  orderOf,
  partsOf,
  readEntry,
  readStore,
  samePart,
  stampOf,
  type Mergeable,
  type WorkspacePart,
  type SeenPart,
  type Stamp,
} from './entries.ts';
import { LEFT_STORES, LeftRecords } from './left-records.ts';
import { laidOver } from './left.ts';
import { calledIn, heardOf, recordsMet, Report } from './meeting.ts';

const CHANNEL = 'blendbine';

/** A database that has not answered for so long is told, ms. */
const SLOW_MS = 5000;
const SLOW: Fault = {
  reason: 'the storage of this browser has not answered for some seconds',
  cure: 'Save a workspace file before you leave, and close other tabs of this page; saving goes on by itself',
};

interface Listener {
  /** Another tab has saved something; these lots and batches it had to keep twice, as they are called. */
  saved(keptTwice: readonly string[]): void;
  /** The database lets wait, and why; it goes on by itself. */
  blocked(fault: Fault): void;
}

export class WorkspaceKeeper implements Keeper {
  readonly #connection: Connection;
  readonly #channel: BroadcastChannel | null;
  /** Parts this tab holds as they are in the database. */
  readonly #synced = new Map<string, SeenPart>();
  /** Parts seen changed elsewhere that this tab has not taken yet. */
  readonly #pending = new Map<string, SeenPart>();
  /** Stamps of what is being written just now. */
  #underway: ReadonlyMap<string, Stamp> = new Map();
  /** Stamps of the next write, given ahead: a record left behind must know the write that follows it. */
  readonly #ahead = new Map<string, string>();
  readonly #left: LeftRecords;
  #order = '';
  #askedToStay = false;
  /** Whether it was told that the database lets wait. */
  #isHeld = false;
  /** One thing at a time: what is written next must know what was written before. */
  #turn: Promise<unknown> = Promise.resolve();

  constructor(private readonly listener: Listener) {
    this.#connection = new Connection({
      emptied: () => this.#forget(),
      blocked: (fault) => this.#hold(fault),
    });
    this.#left = new LeftRecords(this.#connection);
    this.#channel = typeof BroadcastChannel === 'undefined' ? null : new BroadcastChannel(CHANNEL);
    this.#channel?.addEventListener('message', ({ data }: MessageEvent<unknown>) => {
      const names = Array.isArray(data) ? data.filter((name) => typeof name === 'string') : [];
      listener.saved(names);
    });
  }

  close(): void {
    this.#channel?.close();
    this.#connection.close();
  }

  #hold(fault: Fault): void {
    this.#isHeld = true;
    this.listener.blocked(fault);
  }

  /** What was kept is gone: everything is to be written anew. */
  #forget(): void {
    this.#synced.clear();
    this.#pending.clear();
    this.#left.forget();
    this.#ahead.clear();
    this.#order = '';
  }

  async load(starter: WorkspaceDocument): Promise<Loaded> {
    try {
      return await this.#inTurn((database) => this.#read(database, starter));
    } catch (fault) {
      return { kind: 'failed', ...causeOf(fault) };
    }
  }

  async #read(database: Database, starter: WorkspaceDocument): Promise<Loaded> {
    const transaction = database.transaction(['entries', 'left', 'taken']);
    const [entries, inDatabase, taken] = await Promise.all([
      transaction.objectStore('entries').getAll(),
      transaction.objectStore('left').getAll(),
      transaction.objectStore('taken').getAll(),
    ]);
    this.#forget();
    const left = this.#left.read(database, inDatabase, taken);
    if (entries.length === 0 && left.length === 0) {
      return { kind: 'loaded', kept: null, unread: [], unsaved: false };
    }
    const { parts, seen, order, unread, pages } = laidOver(readStore(entries), left);
    const whole = assembled(parts, order, starter);
    const only = entries.length === 1 ? designId(String(entries[0]!.key)) : null;
    const kept = only?.startsWith(FIRST_ID) ? { ...whole, lots: [...starter.lots] } : whole;
    // What stands in the store and is not in the document must never be taken for deleted here. What
    // a left record has taken out is not in the document and was: it is known by its stamp.
    for (const [key, known] of seen) if (known.part) this.#synced.set(key, known);
    this.#left.hold(pages);
    return { kind: 'loaded', kept, unread, unsaved: pages.length > 0 };
  }

  async save(document: WorkspaceDocument): Promise<Kept> {
    // What this page leaves from now on may be newer than this document.
    const left = this.#left.pages;
    try {
      const { news, wrote } = await this.#inTurn((d) => this.#write(d, document, left));
      if (wrote) {
        this.#channel?.postMessage(news.keptTwice);
        this.#askToStay();
      }
      return { kind: 'kept', news };
    } catch (fault) {
      return { kind: 'failed', ...causeOf(fault) };
    } finally {
      this.#underway = new Map();
    }
  }

  /**
   * Asks the browser once not to clear what is kept when it needs room, now that there is something of
   * a person's own. A refusal changes nothing that a person could act on beyond the files on offer.
   */
  #askToStay(): void {
    if (this.#askedToStay) return;
    this.#askedToStay = true;
    // Not every browser, and none at an address that is not secure, has all of it.
    const { navigator } = globalThis as { navigator?: { storage?: Partial<StorageManager> } };
    void navigator?.storage?.persist?.().catch(() => {});
  }

  leave(document: WorkspaceDocument): void {
    const parts = partsOf(document);
    this.#left.leave({
      order: orderOf(document),
      parts: this.#dirty(parts).map((key) => {
        const { stamp, part } = this.#synced.get(key) ?? { stamp: null, part: null };
        const underway = this.#underway.get(key);
        const next = this.#ahead.get(key) ?? newStamp();
        this.#ahead.set(key, next);
        const stamps = underway === undefined ? [stamp, next] : [stamp, underway, next];
        return { key, stamps, was: part, part: parts.get(key) ?? null };
      }),
    });
  }

  async news(document: WorkspaceDocument): Promise<News | null> {
    try {
      return await this.#inTurn(async (database) => {
        const entries = await database.getAll('entries');
        return this.#newsIn(new Map(entries.map((e) => [e.key, e])), document);
      });
    } catch {
      return null;
    }
  }

  readonly heard = heardOf;

  took(document: WorkspaceDocument): void {
    const parts = partsOf(document);
    for (const [key, seen] of this.#pending) {
      if ((parts.get(key) ?? null) !== seen.part) continue;
      this.#pending.delete(key);
      if (seen.part) this.#synced.set(key, seen);
      else this.#synced.delete(key);
    }
  }

  /** Keys whose part this tab has changed, added or taken out since it was in step. */
  #dirty(parts: ReadonlyMap<string, WorkspacePart>): string[] {
    const changed = [...parts].filter(([key, part]) => this.#synced.get(key)?.part !== part);
    const gone = [...this.#synced.keys()].filter((key) => !parts.has(key));
    return [...changed.map(([key]) => key), ...gone];
  }

  async #write(database: Database, document: WorkspaceDocument, left: readonly string[]) {
    this.took(document);
    const parts = partsOf(document);
    const keys = this.#dirty(parts);
    const report = new Report();
    /** Parts of this tab, as they will stand. */
    const written = new Map<string, SeenPart>();
    /** Parts put together with another tab's: this tab's only once they are in its document. */
    const pending = new Map<string, SeenPart>();
    const order = JSON.stringify(orderOf(document));
    if (keys.length === 0 && order === this.#order && left.length === 0) {
      return { news: report, wrote: false };
    }
    this.#underway = new Map(keys.map((key) => [key, this.#ahead.get(key) ?? newStamp()]));
    this.#ahead.clear();
    const transaction = database.transaction(
      left.length > 0 ? ['entries', ...LEFT_STORES] : ['entries'],
      'readwrite',
    );
    const store = transaction.objectStore('entries');
    // A request that fails ends the transaction as well; it must not be told twice.
    transaction.done.catch(() => undefined);
    const put = (key: string, part: WorkspacePart): SeenPart => {
      const stamp = this.#underway.get(key) ?? newStamp();
      store.put({ key, stamp, version: WORKSPACE_VERSION, value: part }).catch(() => undefined);
      return { stamp, part };
    };
    try {
      const entries = await Promise.all(keys.map((key) => store.get(key)));
      keys.forEach((key, i) => {
        const entry = entries[i];
        const mine = parts.get(key) ?? null;
        const stamp = stampOf(entry);
        const isForeign = stamp !== (this.#synced.get(key)?.stamp ?? null);
        if (entry && isForeign && readEntry(entry).kind === 'unreadable') {
          // It makes room and stays; what was only taken out here is not touched at all.
          const aside = { ...entry, key: ASIDE + newId(), value: entry };
          if (mine) store.put(aside).catch(() => undefined);
          if (mine) written.set(key, put(key, mine));
          else written.set(key, { stamp: null, part: null });
          return;
        }
        if (!isForeign || (!entry && designId(key) === null)) {
          if (!mine) store.delete(key).catch(() => undefined);
          written.set(key, mine ? put(key, mine) : { stamp: null, part: null });
          return;
        }
        const theirs = this.#met(key, entry);
        if (samePart(theirs, mine)) {
          this.#pending.delete(key);
          written.set(key, { stamp, part: mine });
        } else if (!mine) report.take(key, theirs);
        else if (designId(key) !== null && !isSharedStamp(stamp))
          report.clashes.set(designId(key)!, theirs as SavedDesign);
        else {
          const met = theirs && recordsMet(key, this.#synced.get(key)?.part ?? null, mine, theirs);
          if (!met) {
            this.#pending.delete(key);
            written.set(key, put(key, mine));
            return;
          }
          if (met.size > 1) report.keptTwice.push(calledIn(mine as Mergeable));
          for (const [own, part] of met) {
            if (part !== theirs) pending.set(own, put(own, part));
            report.take(own, part);
            if (designId(own) !== null) report.shared.add(designId(own)!);
          }
        }
      });
      if (order !== this.#order) {
        const record = { key: ORDER, stamp: newStamp(), version: WORKSPACE_VERSION };
        store.put({ ...record, value: orderOf(document) }).catch(() => undefined);
      }
      this.#left.take(transaction, left);
      transaction.commit();
    } catch (fault) {
      transaction.abort();
      throw fault;
    }
    await transaction.done;
    this.#order = order;
    this.#left.took(left);
    for (const [key, seen] of pending) this.#pending.set(key, seen);
    for (const [key, seen] of written) {
      if (seen.part) this.#synced.set(key, seen);
      else this.#synced.delete(key);
    }
    return { news: report, wrote: written.size + pending.size > 0 };
  }

  /** What stands in the database under a key that another tab has written. */
  #met(key: string, entry: Entry | undefined): WorkspacePart | null {
    const stamp = stampOf(entry);
    const pending = this.#pending.get(key);
    if (pending?.stamp === stamp) return pending.part;
    const read = entry && readEntry(entry);
    const part = read?.kind === 'part' ? read.part : null;
    this.#pending.set(key, { stamp, part });
    return part;
  }

  #newsIn(entries: ReadonlyMap<string, Entry>, document: WorkspaceDocument): News {
    this.took(document);
    const parts = partsOf(document);
    const dirty = new Set(this.#dirty(parts));
    const report = new Report();
    for (const key of new Set([...entries.keys(), ...this.#synced.keys()])) {
      if (key === ORDER) continue;
      const entry = entries.get(key);
      const stamp = stampOf(entry);
      const known = this.#pending.get(key) ?? this.#synced.get(key);
      if (stamp === (known?.stamp ?? null)) continue;
      // What was changed here too is settled when it is saved, in one transaction.
      const isMerged = designId(key) === null || isSharedStamp(stamp);
      if (dirty.has(key) && isMerged) continue;
      // Nothing of what cannot be read is taken; it is met when the part is changed here.
      if (entry && readEntry(entry).kind === 'unreadable') continue;
      const theirs = this.#met(key, entry);
      if (designId(key) !== null && isSharedStamp(stamp)) report.shared.add(designId(key)!);
      if (!dirty.has(key) || !parts.has(key)) report.take(key, theirs);
      else report.clashes.set(designId(key)!, theirs as SavedDesign | null);
    }
    return report;
  }

  async #inTurn<T>(job: (database: Database) => Promise<T>): Promise<T> {
    const before = this.#turn;
    const slow = setTimeout(() => this.#isHeld || this.#hold(SLOW), SLOW_MS);
    const mine = before
      .then(async () => {
        const { database } = this.#connection;
        return job(database ?? (await this.#connection.open()));
      })
      .finally(() => {
        clearTimeout(slow);
        this.#isHeld = false;
      });
    this.#turn = mine.catch(() => undefined);
    return mine;
  }
}
