// Where the server stores a shared freezer: a folder with its key, and one file of everything that devices have
// sent. A new file is written beside the old one and then replaces it, so that a killed server leaves one of
// the two whole.
import { randomBytes } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { open, rename } from 'node:fs/promises';
import { join } from 'node:path';
import * as Y from 'yjs';
import { freezerFragment, readFreezerFragment, type FreezerKey } from '#shared/freezer-terms.ts';
import { failure, reasonOf, success, type Outcome } from '#shared/outcome.ts';

const KEY_FILE = 'key.txt';
const FREEZER_FILE = 'freezer.bin';

function newKey(): FreezerKey {
  return { id: randomBytes(4).toString('hex'), token: randomBytes(16).toString('base64url') };
}

export class FreezerFile {
  #writing: Promise<unknown> = Promise.resolve();

  private constructor(
    readonly key: FreezerKey,
    private readonly path: string,
  ) {}

  /**
   * Opens the folder, or creates it with a key of its own.
   * @param isNewToken whether to replace the key, so that links given out before no longer work.
   */
  static open(folder: string, isNewToken = false): Outcome<FreezerFile> {
    const keyPath = join(folder, KEY_FILE);
    const fault = (path: string, message: string, cure: string) =>
      failure<FreezerFile>({ path, message, cure });
    try {
      mkdirSync(folder, { recursive: true });
      const write = (key: FreezerKey) => {
        writeFileSync(`${keyPath}.new`, `${freezerFragment(key)}\n`, { mode: 0o600 });
        renameSync(`${keyPath}.new`, keyPath);
      };
      const read = () => readFreezerFragment(readFileSync(keyPath, 'utf8').trim());
      if (!existsSync(keyPath)) write(newKey());
      const before = read();
      if (before.ok && isNewToken) write({ ...newKey(), id: before.value.id });
      const key = read();
      if (!key.ok) {
        return fault(keyPath, 'the key is not whole', 'Delete the file: a new key is made');
      }
      const file = new FreezerFile(key.value, join(folder, FREEZER_FILE));
      try {
        Y.applyUpdate(new Y.Doc(), file.read() ?? Y.encodeStateAsUpdate(new Y.Doc()));
      } catch {
        return fault(
          file.path,
          'the file of the shared freezer is damaged',
          'Move it away and start again: every device that joins brings back what it holds',
        );
      }
      return success(file);
    } catch (error) {
      const reason = reasonOf(error);
      return fault(folder, `the folder cannot be used (${reason})`, 'Choose another with --folder');
    }
  }

  /** Everything stored; `null` where nothing was stored yet. */
  read(): Uint8Array | null {
    return existsSync(this.path) ? readFileSync(this.path) : null;
  }

  /** Replaces the stored state; one write at a time. */
  async write(state: Uint8Array): Promise<void> {
    const mine = this.#writing.then(() => this.#write(state));
    this.#writing = mine.catch(() => undefined);
    return mine;
  }

  async #write(state: Uint8Array): Promise<void> {
    const beside = `${this.path}.new`;
    const file = await open(beside, 'w', 0o600);
    try {
      await file.writeFile(state);
      await file.sync();
    } finally {
      await file.close();
    }
    await rename(beside, this.path);
  }
}
