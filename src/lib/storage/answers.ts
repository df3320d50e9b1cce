// Keeps answers beside the workspace, in a database of their own, because they can be computed again from their
// questions and may be lost at any time. A record names the program version that found it, and only records of
// the running version are returned: a new version, which includes its tables, starts with none. The newest
// records are kept.
import { openDB, type IDBPDatabase } from 'idb';
import type { AnswerStore } from '#state/workbench/known-answers.ts';

const DATABASE = 'blendbine-answers';
const STORE = 'answers';
/** Most records kept; each takes some 10 to 50 kB. */
const RECORDS = 60;

interface KeptAnswer {
  /** A hash of the question, which may be long. */
  readonly key: string;
  readonly question: string;
  readonly found: unknown;
  /** Version of the program that found the answer. */
  readonly version: string;
  /** Milliseconds since 1970. */
  readonly kept: number;
}

/** A hash of the question (FNV-1a). Two questions seldom share one; the record also has the whole question. */
function keyOf(question: string): string {
  let hash = 0x811c9dc5;
  for (let i = 0; i < question.length; i += 1) {
    hash = Math.imul(hash ^ question.charCodeAt(i), 0x01000193);
  }
  return `${(hash >>> 0).toString(36)}-${question.length}`;
}

export class Answers implements AnswerStore {
  readonly #version: string;
  readonly #database: IDBPDatabase;
  readonly #keys: Set<string>;

  private constructor(version: string, database: IDBPDatabase, keys: readonly string[]) {
    this.#version = version;
    this.#database = database;
    this.#keys = new Set(keys);
  }

  /**
   * @param version of the program, including its tables.
   * @returns `null` where this browser stores nothing.
   */
  static async open(version: string): Promise<Answers | null> {
    try {
      const database = await openDB(DATABASE, 1, {
        upgrade: (opened) => void opened.createObjectStore(STORE, { keyPath: 'key' }),
        // Another tab that clears or upgrades the database must not wait for this page.
        blocking: (_old, _new, event) => (event.target as IDBDatabase).close(),
      });
      return new Answers(version, database, (await database.getAllKeys(STORE)) as string[]);
    } catch {
      return null;
    }
  }

  find(question: string): Promise<unknown> | null {
    const key = keyOf(question);
    return this.#keys.has(key) ? this.#find(key, question) : null;
  }

  keep(question: string, found: unknown): void {
    const key = keyOf(question);
    const kept = { key, question, found, version: this.#version, kept: Date.now() };
    this.#keep(kept).catch(() => undefined);
  }

  close(): void {
    this.#database.close();
  }

  async #find(key: string, question: string): Promise<unknown> {
    try {
      const kept = (await this.#database.get(STORE, key)) as KeptAnswer | undefined;
      return kept?.question === question && kept.version === this.#version ? kept.found : null;
    } catch {
      return null;
    }
  }

  async #keep(record: KeptAnswer): Promise<void> {
    const { store, done } = this.#database.transaction(STORE, 'readwrite');
    void store.put(record);
    this.#keys.add(record.key);
    if (this.#keys.size > RECORDS) {
      const all = (await store.getAll()) as KeptAnswer[];
      const old = all.sort((a, b) => b.kept - a.kept).slice(RECORDS);
      for (const { key } of old) {
        void store.delete(key);
        this.#keys.delete(key);
      }
    }
    await done;
  }
}
