// Keeps the workspace in the database and follows what other tabs keep there. A part is written only if nobody
// else has written it since this tab read it; both are checked in one transaction, so nothing saved is ever
// overwritten unseen. A part is written or deleted only if this tab's document has had it. Every failure is
// returned with what the person can do about it.
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

/** After this time without an answer the person is told that the database is slow, ms. */
const SLOW_MS = 5000;
const SLOW: Fault = {
  reason: 'the storage of this browser has not answered for some seconds',
  cure: 'Save a workspace file before you leave, and close other tabs of this page; saving goes on by itself',
};

interface Listener {
  /**
   * Another tab has saved something; `keptTwice` names the lots and batches of which it had to keep two
   * versions.
   */
  saved(keptTwice: readonly string[]): void;
  /** The database cannot be opened yet, and why; it goes on by itself. */
  blocked(fault: Fault): void;
}

export class WorkspaceKeeper implements Keeper {
  readonly #connection: Connection;
  readonly #channel: BroadcastChannel | null;
  /** Parts of this tab's document that are the same in the database. */
  readonly #synced = new Map<string, SeenPart>();
  /** Parts that were changed elsewhere and that this tab has not taken over yet. */
  readonly #pending = new Map<string, SeenPart>();
  /** Stamps of the write in progress. */
  #underway: ReadonlyMap<string, Stamp> = new Map();
  /** Stamps reserved for the next write: a record left by a closing page must name the write that follows it. */
  readonly #ahead = new Map<string, string>();
  readonly #left: LeftRecords;
  #order = '';
  #askedToStay = false;
  /** Whether the person was told that the database cannot be opened yet. */
  #isHeld = false;
  /** Runs one operation after another: a write must know what the one before has written. */
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

  /** Everything kept is lost: all parts must be written again. */
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
    // A part in the store that is not in the document must never count as deleted here. The exception is a part
    // that a left record has deleted: it is recognised by its stamp.
    for (const [key, known] of seen) if (known.part) this.#synced.set(key, known);
    this.#left.hold(pages);
    return { kind: 'loaded', kept, unread, unsaved: pages.length > 0 };
  }

  async save(document: WorkspaceDocument): Promise<Kept> {
    // Records that this page leaves from now on may be newer than this document.
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
   * Asks the browser once not to clear the store when it needs space, as soon as it holds something of a
   * person's own. If the browser refuses, a person can do no more about it than save a file, which is offered
   * anyway.
   */
  #askToStay(): void {
    if (this.#askedToStay) return;
    this.#askedToStay = true;
    // Some browsers do not have all of this, and none has it at an insecure address.
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

  /** Keys of parts that this tab has changed, added or removed since they were last the same in the database. */
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
    /** Parts of this tab as they will stand in the database. */
    const written = new Map<string, SeenPart>();
    /** Parts merged with another tab's version: they count as this tab's only once they are in its document. */
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
    // A failed request also ends the transaction; its error must not be reported twice.
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
          // The record is moved to another key and kept; if this tab only deleted its part, it is not touched.
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

  /** The part in the database under a key that another tab has written. */
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
      // A part that was also changed here is merged when it is saved, in one transaction.
      const isMerged = designId(key) === null || isSharedStamp(stamp);
      if (dirty.has(key) && isMerged) continue;
      // A record that cannot be read is not taken over; it is handled when the part is changed here.
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
