// What a command reads from and writes to, and text from a file or standard input. Failures name the cure.
import { readFileSync } from 'node:fs';
import { failure, success, type Outcome } from '#shared/outcome.ts';

/** Its file descriptor. */
export const STANDARD_INPUT = 0;

/** Where a command reads and writes. */
export interface Streams {
  /** File descriptor of standard input. */
  readonly input: number;
  readonly out: Pick<NodeJS.WriteStream, 'write'>;
  readonly err: Pick<NodeJS.WriteStream, 'write' | 'isTTY'>;
}

/** The name of an input in messages. */
export function inputName(file: string): string {
  return file === '-' ? 'standard input' : file;
}

const READ_FAULTS: Readonly<Record<string, { message: string; cure: string }>> = {
  ENOENT: { message: 'there is no such file', cure: 'Correct the path' },
  ENOTDIR: { message: 'there is no such file', cure: 'Correct the path' },
  EISDIR: { message: 'this is a folder, not a file', cure: 'Give a file' },
  EACCES: { message: 'the file may not be read', cure: 'Change its permissions' },
};

/** Reads a whole file, or standard input for `-`. */
export function readBytes(file: string, { input }: Pick<Streams, 'input'>): Outcome<Uint8Array> {
  try {
    return success(readFileSync(file === '-' ? input : file));
  } catch (fault) {
    const { code = 'unknown' } = fault as NodeJS.ErrnoException;
    const known = READ_FAULTS[code];
    const message = known?.message ?? `it could not be read (${code})`;
    return failure({ path: '', message, cure: known?.cure ?? 'Check the file and try again' });
  }
}

/** Reads a whole file, or standard input for `-`, as UTF-8 text. */
export function readText(file: string, streams: Streams): Outcome<string> {
  const bytes = readBytes(file, streams);
  if (!bytes.ok) return bytes;
  try {
    return success(new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes.value));
  } catch {
    return failure({ path: '', message: 'it is not UTF-8 text', cure: 'Save it as UTF-8' });
  }
}

/** The document with compounds alone asked for; what is no document is left for its reader to refuse. */
export function compoundsAlone(text: string): string {
  try {
    const document: unknown = JSON.parse(text);
    const isDocument =
      typeof document === 'object' && document !== null && !Array.isArray(document);
    return isDocument ? JSON.stringify({ ...document, compounds_only: true }) : text;
  } catch {
    return text;
  }
}
