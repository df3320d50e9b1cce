// What the browser stores of the workspace, read from the database itself, not through the page: record by record.
import type { Page } from '@playwright/test';

export interface KeptRecord {
  readonly key: string;
  readonly value: unknown;
}

/** By key, every record that is kept. */
export async function kept(page: Page): Promise<Record<string, KeptRecord>> {
  return page.evaluate(async () => {
    const opening = indexedDB.open('blendbine');
    const database = await new Promise<IDBDatabase>(
      (done) => (opening.onsuccess = () => done(opening.result)),
    );
    const asked = database.transaction('entries').objectStore('entries').getAll();
    await new Promise((done) => (asked.onsuccess = done));
    database.close();
    return Object.fromEntries(asked.result.map((record) => [record.key, record]));
  });
}
