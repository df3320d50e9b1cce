// Where the records of closing pages lie until their edits are written, and how they are removed. They
// are texts where the browser takes them, else records of the database. A text can't be removed in the
// transaction that writes its edits, and a browser that is killed brings removed texts back: so that
// transaction marks it as taken, and the mark stays for a while.
import { WORKSPACE_VERSION } from '#shared/schemas/workspace.ts';
import { newId } from '#state/documents/documents.ts';
import type { IDBPTransaction } from 'idb';
import type { Connection, Database, LeftRecord, StoreSchema, TakenRecord } from './database.ts';
import { leaveText, leftTexts, removeTexts } from './left-texts.ts';
import type { LeftEdits } from './left.ts';

export const LEFT_STORES = ['left', 'taken'] as const;
type Writing = IDBPTransaction<StoreSchema, ('entries' | 'left' | 'taken')[], 'readwrite'>;

/** So long a mark stays: a removed text is gone from the disk long before, ms. */
const MARK_MS = 7 * 24 * 3600 * 1000;

export class LeftRecords {
  /** Pages whose records have their edits in the document, to be removed once that is written. */
  readonly #pages = new Set<string>();

  constructor(private readonly connection: Connection) {}

  /** What was kept is gone, records with it. */
  forget(): void {
    this.#pages.clear();
  }

  /** Pages whose edits are in the document now. */
  get pages(): string[] {
    return [...this.#pages];
  }

  hold(pages: Iterable<string>): void {
    for (const page of pages) this.#pages.add(page);
  }

  /**
   * All that is still to be written. The texts are read after the database, so that what another page
   * writes meanwhile is missed rather than met twice: that page tells what it has written.
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

  /** Leaves a record, at once; it holds the edits of all records before it. */
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
      // A transaction that says it is done is finished even where its page is gone.
      transaction?.commit();
    } catch {
      // The browser has closed the database already: what is under way is all that can be had.
    }
  }

  /** Marks these as written, in the transaction that writes their edits. */
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

  /** The transaction that took them is done. */
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
      // The browser has closed the database meanwhile; the next page does it.
    }
  }
}
