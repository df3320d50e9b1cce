// Kept records that cannot be read, as a file: whatever the database may hold, in plain JSON.
import type { Unread } from '#state/documents/keeping.ts';
import { downloadJson } from '#ui/kit/download.ts';

/** Marks a file of such records. */
const FORMAT = 'blendbine-unread';

/** The value in what JSON can say; what it cannot say is written as text. */
function plain(value: unknown, above: readonly object[]): unknown {
  if (typeof value === 'bigint' || Object.is(value, -0)) return String(value);
  if (typeof value === 'number' && !Number.isFinite(value)) return String(value);
  if (typeof value !== 'object' || value === null) return value;
  if (above.includes(value)) return '(as above)';
  const within = [...above, value];
  if (value instanceof Date) return Number.isNaN(value.getTime()) ? 'no date' : value.toISOString();
  if (ArrayBuffer.isView(value))
    return [...new Uint8Array(value.buffer, value.byteOffset, value.byteLength)];
  if (value instanceof ArrayBuffer) return [...new Uint8Array(value)];
  if (Array.isArray(value) || value instanceof Set) return [...value].map((v) => plain(v, within));
  if (value instanceof Map) return [...value].map((pair) => plain(pair, within));
  return Object.fromEntries(Object.entries(value).map(([k, v]) => [k, plain(v, within)]));
}

/** What a file of unreadable records holds. */
export function plainRecords(unread: readonly Unread[]): unknown {
  return {
    format: FORMAT,
    records: unread.map(({ what, reason, record }) => ({
      what,
      reason,
      record: plain(record, []),
    })),
  };
}

/** Offers the records as a file, for whoever can make something of them. */
export function saveUnreadFile(unread: readonly Unread[]): void {
  const day = new Date().toISOString().slice(0, 10);
  downloadJson(`blendbine-unread-${day}.json`, plainRecords(unread));
}
