// The browser's own database: one record for each design, lot and batch, with a stamp by which two tabs see
// what the other has written. Each change of the stores has its step in `upgrade`, and no step drops what an
// older version kept. The connection stays open, and is opened again when the browser or a newer version of the
// page has closed it.
import {
  openDB,
  type DBSchema,
  type IDBPDatabase,
  type IDBPTransaction,
  type StoreNames,
} from 'idb';
import { reasonOf } from '#shared/outcome.ts';
import type { Fault } from '#state/documents/keeping.ts';

const DATABASE = 'blendbine';
/** Raised with every change of the stores below; `upgrade` then leads from each older one. */
const DATABASE_VERSION = 5;

/** One kept part. Only its key is known to be sound; everything else is checked when it is read. */
export interface Entry {
  /** `design:<id>`, `lot:<id>`, `batch:<id>`, the field of a single part, or `order`. */
  readonly key: string;
  /** A new value at every write. */
  readonly stamp: string;
  /** Version of the document the value belongs to. */
  readonly version: number;
  readonly value: unknown;
}

/** Edits that a page could not finish writing before it was closed. Checked when it is read. */
export interface LeftRecord {
  /** An id of the page that wrote it. */
  readonly page: string;
  readonly version: number;
  readonly value: unknown;
}

/** Says that the edits of a left record have been written. */
export interface TakenRecord {
  readonly page: string;
  /** Milliseconds since 1970. */
  readonly at: number;
}

export interface StoreSchema extends DBSchema {
  entries: { key: string; value: Entry };
  left: { key: string; value: LeftRecord };
  /** Left records whose edits are written, with the time: the texts of a killed browser can reappear. */
  taken: { key: string; value: TakenRecord };
  /** The freezer this browser shares: at most one record. Checked when it is read, like all that follows. */
  sharing: { key: string; value: { readonly key: string } };
  /** Parts as they stood in this browser and in the shared freezer when the two were last brought in step. */
  shared_met: { key: string; value: { readonly key: string } };
  /** The shared freezer, as the updates it is made of. */
  shared_updates: { key: number; value: Uint8Array };
}

export type Database = IDBPDatabase<StoreSchema>;

/** Version 1 kept the one open brief in a store of this name. */
const FIRST_STORE = 'briefs';
const FIRST_KEY = 'open';
/** Prefix of the id which that brief gets as a design; it had no stock besides the starter's. */
export const FIRST_ID = 'own-';

function idOf(text: string): string {
  return text.toLowerCase().replace(/[^a-z0-9]/g, '-');
}

/** A stamp that nobody has written before. */
export function newStamp(): string {
  return `${Date.now().toString(36)}-${Math.random().toString(36).slice(2)}`;
}

const SHARED = 'shared-';
/** A stamp for what other devices have changed. */
export const newSharedStamp = (): string => SHARED + newStamp();
export const isSharedStamp = (stamp: string | null): boolean => stamp?.startsWith(SHARED) ?? false;

type Upgrade = IDBPTransaction<StoreSchema, StoreNames<StoreSchema>[], 'versionchange'>;

async function takeFirstBrief(database: Database, transaction: Upgrade): Promise<void> {
  if (!database.objectStoreNames.contains(FIRST_STORE as 'entries')) return;
  const old = transaction.objectStore(FIRST_STORE as 'entries');
  const kept = (await old.get(FIRST_KEY)) as unknown;
  const { brief, savedAt } = (kept ?? {}) as { brief?: unknown; savedAt?: unknown };
  if (brief !== undefined) {
    const time = Date.parse(String(savedAt));
    const saved_at = new Date(Number.isNaN(time) ? Date.now() : time).toISOString();
    const id = FIRST_ID + idOf(saved_at);
    const value = { id, brief, saved_at };
    await transaction
      .objectStore('entries')
      .put({ key: `design:${id}`, stamp: newStamp(), version: 1, value });
  }
  database.deleteObjectStore(FIRST_STORE as 'entries');
}

interface DatabaseEvents {
  /** The stores had to be created anew: whatever this browser kept before is lost. */
  emptied(): void;
  /** Another tab keeps the database from being opened; it is opened as soon as that tab is closed. */
  blocked(fault: Fault): void;
}

const BLOCKED: Fault = {
  reason: 'another tab with an older version of this page blocks the data',
  cure: 'Close the other tabs of this page, or reload them; saving then goes on by itself',
};

/**
 * Connections of this page that wait for the database to open, and whether another tab holds it: the browser
 * notifies only the first of them.
 */
const waiting = new Set<DatabaseEvents>();
let isBlocked = false;

function tellBlocked(): void {
  isBlocked = true;
  for (const heard of waiting) heard.blocked(BLOCKED);
}

export class Connection {
  #database: Database | null = null;
  #opening: Promise<Database> | null = null;
  #isOver = false;

  constructor(private readonly heard: DatabaseEvents) {}

  /** The open database; `null` where it is not open. */
  get database(): Database | null {
    return this.#database;
  }

  /** The database; opens it where it is not open. */
  async open(): Promise<Database> {
    if (this.#database) return this.#database;
    if (this.#isOver) throw new Error('this page no longer saves anything');
    this.#opening ??= this.#waits().finally(() => (this.#opening = null));
    return this.#opening;
  }

  /** Closes the connection for good. */
  close(): void {
    this.#isOver = true;
    this.#release();
  }

  #release(): void {
    this.#database?.close();
    this.#database = null;
  }

  async #waits(): Promise<Database> {
    waiting.add(this.heard);
    if (isBlocked) this.heard.blocked(BLOCKED);
    try {
      return await this.#open();
    } finally {
      waiting.delete(this.heard);
      isBlocked = false;
    }
  }

  async #open(): Promise<Database> {
    let made = false as boolean;
    const database = await openDB<StoreSchema>(DATABASE, DATABASE_VERSION, {
      upgrade: (opened, oldVersion, _, transaction) => {
        made = oldVersion === 0;
        if (oldVersion < 2) opened.createObjectStore('entries', { keyPath: 'key' });
        if (oldVersion < 3) opened.createObjectStore('left', { keyPath: 'page' });
        if (oldVersion < 4) opened.createObjectStore('taken', { keyPath: 'page' });
        if (oldVersion < 5) {
          opened.createObjectStore('sharing', { keyPath: 'key' });
          opened.createObjectStore('shared_met', { keyPath: 'key' });
          opened.createObjectStore('shared_updates', { autoIncrement: true });
        }
        // Where this fails the whole upgrade is undone, and what was kept stays as it is.
        if (oldVersion === 1) takeFirstBrief(opened, transaction).catch(() => transaction.abort());
      },
      blocked: tellBlocked,
      // A newer version of the page, or another tab that clears the database, must not wait for this one.
      blocking: () => this.#release(),
      terminated: () => (this.#database = null),
    });
    if (made) this.heard.emptied();
    this.#database = database;
    return database;
  }
}

/** Why the database refused, and what the person can do about it. */
export function causeOf(fault: unknown): Fault {
  const name = fault instanceof Error || fault instanceof DOMException ? fault.name : '';
  if (name === 'QuotaExceededError') {
    return {
      reason: 'the storage this browser gives to the page is full',
      cure: 'Save a workspace file now, then delete designs or lots you no longer need, or free storage on this device',
    };
  }
  if (name === 'VersionError') {
    return {
      reason: 'a newer version of this page has been opened in this browser',
      cure: 'Save a workspace file now, reload this page, and open the file where something is missing',
    };
  }
  if (name === 'SecurityError' || name === 'InvalidStateError' || name === 'UnknownError') {
    return {
      reason: 'this browser lets the page save nothing, as in a private window',
      cure: 'Save a workspace file before you leave; open it here next time',
    };
  }
  return {
    reason: reasonOf(fault),
    cure: 'Save a workspace file now; the next edit tries again',
  };
}
