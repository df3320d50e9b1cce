// Where the records of closing pages are kept until their edits are written, and how they are removed. They are
// texts of the browser's local storage where it accepts them, else records of the database. A text cannot be
// removed in the transaction that writes its edits, and a killed browser restores removed texts; so that
// transaction marks the record as taken, and the mark is kept for a while.
import { WORKSPACE_VERSION } from '#shared/schemas/workspace.ts';
import { newId } from '#state/documents/documents.ts';
import type { IDBPTransaction } from 'idb';
import type { Connection, Database, LeftRecord, StoreSchema, TakenRecord } from './database.ts';
import { leaveText, leftTexts, removeTexts } from './left-texts.ts';
import type { LeftEdits } from './left.ts';

export const LEFT_STORES = ['left', 'taken'] as const;
type Writing = IDBPTransaction<StoreSchema, ('entries' | 'left' | 'taken')[], 'readwrite'>;

/** How long a mark is kept, ms: by then a removed text is long gone from the disk. */
const MARK_MS = 7 * 24 * 3600 * 1000;

export class LeftRecords {
  /** Pages whose edits are in the document; their records are removed once the document is written. */
  readonly #pages = new Set<string>();

  constructor(private readonly connection: Connection) {}

  /** Everything kept is lost, these records included. */
  forget(): void {
    this.#pages.clear();
  }

  /** Pages whose edits are now in the document. */
  get pages(): string[] {
    return [...this.#pages];
  }

  hold(pages: Iterable<string>): void {
    for (const page of pages) this.#pages.add(page);
  }

  /**
   * All records whose edits are still to be written. The texts are read after the database: what another page
   * writes in between is then missed here and not taken twice, and that page reports what it has written.
   */
  read(
    database: Database,
    kept: readonly LeftRecord[],
    taken: readonly TakenRecord[],
  ): LeftRecord[] {
    const written = new Set(taken.map(({ page }) => page));
    removeTexts(written);
    const old = taken.filter(({ at }) => Date.now() - at > MARK_MS);
    if (old.length > 0) this.#unmark(database, old);
    return [...kept, ...leftTexts().filter(({ page }) => !written.has(page))];
  }

  /** Leaves a record immediately; it includes the edits of all records before it. */
  leave(left: Omit<LeftEdits, 'over'>): void {
    const over = this.pages;
    const record = { page: newId(), version: WORKSPACE_VERSION, value: { ...left, over } };
    this.#pages.add(record.page);
    if (leaveText(record)) removeTexts(over);
    else this.#leaveInDatabase(record);
  }

  #leaveInDatabase(record: LeftRecord): void {
    try {
      const transaction = this.connection.database?.transaction('left', 'readwrite');
      transaction?.done.catch(() => undefined);
      transaction?.store.put(record).catch(() => undefined);
      // A committed transaction is completed even when its page has closed.
      transaction?.commit();
    } catch {
      // The browser has already closed the database: nothing more can be saved.
    }
  }

  /** Marks these records as written, in the transaction that writes their edits. */
  take(transaction: Writing, pages: readonly string[]): void {
    for (const page of pages) {
      transaction
        .objectStore('left')
        .delete(page)
        .catch(() => undefined);
      transaction
        .objectStore('taken')
        .put({ page, at: Date.now() })
        .catch(() => undefined);
    }
  }

  /** The transaction that marked them is complete. */
  took(pages: readonly string[]): void {
    for (const page of pages) this.#pages.delete(page);
    removeTexts(pages);
  }

  #unmark(database: Database, old: readonly TakenRecord[]): void {
    try {
      const transaction = database.transaction('taken', 'readwrite');
      transaction.done.catch(() => undefined);
      for (const { page } of old) transaction.store.delete(page).catch(() => undefined);
      transaction.commit();
    } catch {
      // The browser has closed the database meanwhile; the next page removes them.
    }
  }
}
