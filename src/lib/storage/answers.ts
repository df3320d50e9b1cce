// Answers kept beside the workspace, in a database of their own, because they follow from their questions and
// may be lost at any time. A record says which program found it, and only those of this very one are handed
// out: a new version, its tables included, begins with none. Of many the latest stay.
import { openDB, type IDBPDatabase } from 'idb';
import type { AnswerStore } from '#state/workbench/known-answers.ts';

const DATABASE = 'blendbine-answers';
const STORE = 'answers';
/** Most records; each has some 10 to 50 kB. */
const RECORDS = 60;

interface KeptAnswer {
  /** A short name of the question, which may be long. */
  readonly key: string;
  readonly question: string;
  readonly found: unknown;
  /** Of the program that found it. */
  readonly version: string;
  /** Milliseconds since 1970. */
  readonly kept: number;
}

/** Two questions seldom share a key; the record has the whole question. (A hash by multiplying, FNV-1a.) */
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
   * @param version of the program, tables included.
   * @returns `null` where this browser keeps nothing.
   */
  static async open(version: string): Promise<Answers | null> {
    try {
      const database = await openDB(DATABASE, 1, {
        upgrade: (opened) => void opened.createObjectStore(STORE, { keyPath: 'key' }),
        // Whoever clears what is kept must not wait for this page.
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
