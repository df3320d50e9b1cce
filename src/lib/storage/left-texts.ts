// Where a closing page leaves its record: the browser's local storage. It has stored a text when the call
// returns; of records that a closing page hands to the database, about one in 300 never arrives on a busy
// machine, committed or not. Where it stores nothing (full, or switched off) the database is used.
import type { LeftRecord } from './database.ts';

const PREFIX = 'blendbine-left:';

/** The browser's local storage; `null` where it has none for this page. */
function texts(): Storage | null {
  try {
    return (globalThis as { localStorage?: Storage }).localStorage ?? null;
  } catch {
    return null;
  }
}

/** Stores the record; whether it was stored. */
export function leaveText({ page, version, value }: LeftRecord): boolean {
  try {
    texts()?.setItem(PREFIX + page, JSON.stringify({ version, value }));
    return texts() !== null;
  } catch {
    return false;
  }
}

function readText(page: string, text: string): LeftRecord {
  try {
    const { version, value } = JSON.parse(text) as { version: number; value: unknown };
    return { page, version, value };
  } catch {
    // It is reported as unreadable, with its text, and kept.
    return { page, version: 0, value: text };
  }
}

export function leftTexts(): LeftRecord[] {
  const store = texts();
  if (!store) return [];
  return Array.from({ length: store.length }, (_, i) => store.key(i)!)
    .filter((key) => key.startsWith(PREFIX))
    .map((key) => readText(key.slice(PREFIX.length), store.getItem(key)!));
}

export function removeTexts(pages: Iterable<string>): void {
  const store = texts();
  for (const page of pages) store?.removeItem(PREFIX + page);
}
