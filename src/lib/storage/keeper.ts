// Keeps the workspace in the database and watches what other tabs keep there. A part is written only
// if nobody else has written it since this tab read it; both are seen in one transaction, so nothing
// saved is ever overwritten unseen. Every failure comes back with what can be done about it.
import type { Schedule } from '#shared/schemas/brief.ts';
import {
  WORKSPACE_VERSION,
  type SavedDesign,
  type SavedLot,
  type WorkspaceDocument,
} from '#shared/schemas/workspace.ts';
import type { Kept, Keeper, News } from '#state/keeping.ts';
import { newStamp, openDatabase, type Entry } from './database.ts';
import {
  assembled,
  designId,
  lotId,
  ORDER,
  orderOf,
  partsOf,
  readEntry,
  type Order,
  type Part,
} from './entries.ts';

type Database = Awaited<ReturnType<typeof openDatabase>>;

const CHANNEL = 'blendbine';

/** A part as it stood in the database when this tab saw it last; `null`: deleted. */
interface Seen {
  readonly stamp: string;
  readonly part: Part | null;
}

export interface Loaded {
  /** `null` where nothing was kept yet. */
  readonly kept: WorkspaceDocument | null;
  /** What could not be read, in a sentence. */
  readonly unread: string | null;
}

/** The stamp of what is not there. */
const ABSENT = '';

class Report implements News {
  readonly taken = {
    designs: new Map<string, SavedDesign | null>(),
    lots: new Map<string, SavedLot | null>(),
  } as {
    designs: Map<string, SavedDesign | null>;
    lots: Map<string, SavedLot | null>;
    usual?: Schedule | null;
  };
  readonly clashes = new Map<string, SavedDesign | null>();

  take(key: string, part: Part | null): void {
    const [design, lot] = [designId(key), lotId(key)];
    if (design !== null) this.taken.designs.set(design, part as SavedDesign | null);
    else if (lot !== null) this.taken.lots.set(lot, part as SavedLot | null);
    else this.taken.usual = part as Schedule | null;
  }
}

/** A lot changed in two tabs: each field as whoever changed it left it, here last. */
function mergedLot(base: Part | null | undefined, mine: Part, theirs: Part): Part {
  const before = (base ?? {}) as Record<string, unknown>;
  const own = Object.entries(mine).filter(([field, value]) => before[field] !== value);
  const gone = Object.keys(before).filter((field) => !(field in mine));
  const kept = Object.entries(theirs).filter(([field]) => !gone.includes(field));
  return Object.fromEntries([...kept, ...own]) as unknown as SavedLot;
}

function causeOf(fault: unknown): { reason: string; cure: string } {
  const name = fault instanceof DOMException ? fault.name : '';
  if (name === 'QuotaExceededError') {
    return {
      reason: 'the room this browser gives to the page is used up',
      cure: 'Save a workspace file now, then delete designs or lots you no longer need, or free room on this device',
    };
  }
  if (name === 'SecurityError' || name === 'InvalidStateError' || name === 'UnknownError') {
    return {
      reason: 'this browser lets the page keep nothing, as in a private window',
      cure: 'Save a workspace file before you leave; open it here next time',
    };
  }
  return {
    reason: fault instanceof Error ? fault.message : String(fault),
    cure: 'Save a workspace file now; the next edit tries again',
  };
}

export class WorkspaceKeeper implements Keeper {
  #askedToStay = false;
  /** Parts this tab holds as they are in the database. */
  readonly #synced = new Map<string, Seen>();
  /** Parts seen changed elsewhere that this tab has not taken yet. */
  readonly #pending = new Map<string, Seen>();
  readonly #channel: BroadcastChannel | null;
  #order = '';
  /** One thing at a time: what is written next must know what was written before. */
  #turn: Promise<unknown> = Promise.resolve();

  /** @param changed called when another tab has saved something. */
  constructor(changed: () => void) {
    this.#channel = typeof BroadcastChannel === 'undefined' ? null : new BroadcastChannel(CHANNEL);
    this.#channel?.addEventListener('message', changed);
  }

  close(): void {
    this.#channel?.close();
  }

  /**
   * Everything kept. Where the list of parts was never written, the stock is still the starter's.
   * Never fails: what cannot be read is told.
   */
  async load({ lots }: WorkspaceDocument): Promise<Loaded> {
    try {
      return await this.#inTurn((database) => this.#read(database, lots));
    } catch (fault) {
      const { reason, cure } = causeOf(fault);
      return { kept: null, unread: `${reason}. ${cure}` };
    }
  }

  async save(document: WorkspaceDocument): Promise<Kept> {
    try {
      const { news, wrote } = await this.#inTurn((database) => this.#write(database, document));
      if (wrote) {
        this.#channel?.postMessage('saved');
        this.#askToStay();
      }
      return { kind: 'kept', news };
    } catch (fault) {
      return { kind: 'failed', ...causeOf(fault) };
    }
  }

  /**
   * Asks the browser once not to clear what is kept when it needs room, now that there is something of
   * a person's own. A refusal changes nothing that a person could act on beyond the files on offer.
   */
  #askToStay(): void {
    if (this.#askedToStay) return;
    this.#askedToStay = true;
    void globalThis.navigator?.storage?.persist?.().catch(() => {});
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

  async #read(database: Database, lots: readonly SavedLot[]): Promise<Loaded> {
    const parts = new Map<string, Part>();
    const faults: string[] = [];
    let order: Order | null = null;
    for (const entry of await database.getAll('entries')) {
      if (entry.key === ORDER) {
        order = entry.value as Order;
        continue;
      }
      const read = readEntry(entry);
      if (read.kind === 'unreadable') faults.push(read.reason);
      else {
        parts.set(entry.key, read.part);
        this.#synced.set(entry.key, { stamp: entry.stamp, part: read.part });
      }
    }
    const what = faults.length === 1 ? 'One kept part' : `${faults.length} kept parts`;
    const kept = assembled(parts, order);
    return {
      kept: kept && order === null ? { ...kept, lots: [...lots] } : kept,
      unread: faults.length ? `${what} could not be read: ${faults.slice(0, 3).join('; ')}` : null,
    };
  }

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
  #dirty(parts: ReadonlyMap<string, Part>): string[] {
    const changed = [...parts].filter(([key, part]) => this.#synced.get(key)?.part !== part);
    const gone = [...this.#synced.keys()].filter((key) => !parts.has(key));
    return [...changed.map(([key]) => key), ...gone];
  }

  async #write(database: Database, document: WorkspaceDocument) {
    this.took(document);
    const parts = partsOf(document);
    const report = new Report();
    const written = new Map<string, Seen | null>();
    const { store, done } = database.transaction('entries', 'readwrite');
    const put = async (key: string, value: unknown) => {
      const stamp = newStamp();
      await store.put({ key, stamp, version: WORKSPACE_VERSION, value });
      return stamp;
    };
    // A request that fails ends the transaction as well; it must not be told twice.
    done.catch(() => undefined);
    for (const key of this.#dirty(parts)) {
      const mine = parts.get(key);
      const entry = await store.get(key);
      const foreign = (entry?.stamp ?? ABSENT) !== (this.#synced.get(key)?.stamp ?? ABSENT);
      if (!foreign || (!entry && designId(key) === null)) {
        if (mine) written.set(key, { stamp: await put(key, mine), part: mine });
        else {
          await store.delete(key);
          written.set(key, null);
        }
        continue;
      }
      const theirs = this.#met(key, entry);
      if (theirs === undefined) continue;
      if (!mine) report.take(key, theirs);
      else if (designId(key) !== null) report.clashes.set(designId(key)!, theirs as SavedDesign);
      else {
        const part =
          lotId(key) && theirs ? mergedLot(this.#synced.get(key)?.part, mine, theirs) : mine;
        this.#pending.delete(key);
        written.set(key, { stamp: await put(key, part), part });
        if (part !== mine) report.take(key, part);
      }
    }
    const order = JSON.stringify(orderOf(document));
    if (order !== this.#order) await put(ORDER, orderOf(document));
    await done;
    this.#order = order;
    for (const [key, seen] of written) {
      if (seen) this.#synced.set(key, seen);
      else this.#synced.delete(key);
    }
    return { news: report, wrote: written.size > 0 };
  }

  /** What stands in the database under a key that another tab has written; `undefined`: unreadable. */
  #met(key: string, entry: Entry | undefined): Part | null | undefined {
    if (!entry) {
      this.#pending.set(key, { stamp: ABSENT, part: null });
      return null;
    }
    const pending = this.#pending.get(key);
    if (pending?.stamp === entry.stamp) return pending.part;
    const read = readEntry(entry);
    if (read.kind === 'unreadable') return undefined;
    this.#pending.set(key, { stamp: entry.stamp, part: read.part });
    return read.part;
  }

  #newsIn(entries: ReadonlyMap<string, Entry>, document: WorkspaceDocument): News {
    this.took(document);
    const parts = partsOf(document);
    const dirty = new Set(this.#dirty(parts));
    const report = new Report();
    for (const key of new Set([...entries.keys(), ...this.#synced.keys()])) {
      if (key === ORDER) continue;
      const entry = entries.get(key);
      const stamp = entry?.stamp ?? ABSENT;
      const known = this.#pending.get(key) ?? this.#synced.get(key);
      if (stamp === (known?.stamp ?? ABSENT)) continue;
      // What was changed here too is settled when it is saved, in one transaction.
      if (dirty.has(key) && designId(key) === null) continue;
      const theirs = this.#met(key, entry);
      if (theirs === undefined) continue;
      if (!dirty.has(key) || !parts.has(key)) report.take(key, theirs);
      else report.clashes.set(designId(key)!, theirs as SavedDesign | null);
    }
    return report;
  }

  async #inTurn<T>(job: (database: Database) => Promise<T>): Promise<T> {
    const before = this.#turn;
    const mine = before.then(async () => {
      const database = await openDatabase();
      try {
        return await job(database);
      } finally {
        database.close();
      }
    });
    this.#turn = mine.catch(() => undefined);
    return mine;
  }
}
