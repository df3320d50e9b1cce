// The freezer this browser shares: one record. Every page reads it, so this file does not import the code that
// shares.
import { DEVICE_NAME_MAX, type FreezerKey } from '#shared/freezer-terms.ts';
import { Connection, type Database } from './database.ts';

export interface Membership extends FreezerKey {
  /** The name of this device, as its person typed it. */
  readonly name: string;
  readonly isOn: boolean;
}

const MEMBERSHIP = 'membership';

function membershipOf(record: unknown): Membership | null {
  const { id, token, name, isOn } = (record ?? {}) as Partial<Membership>;
  if (typeof id !== 'string' || typeof token !== 'string' || typeof name !== 'string') return null;
  return { id, token, name: name.slice(0, DEVICE_NAME_MAX), isOn: isOn === true };
}

export async function readMembership(database: Database): Promise<Membership | null> {
  return membershipOf(await database.get('sharing', MEMBERSHIP));
}

/** Stores the membership. If it is of another freezer than before, everything known of that one is deleted. */
export async function writeMembership(database: Database, membership: Membership): Promise<void> {
  const transaction = database.transaction(
    ['sharing', 'shared_met', 'shared_updates'],
    'readwrite',
  );
  const settings = transaction.objectStore('sharing');
  const before = membershipOf(await settings.get(MEMBERSHIP));
  if (before?.id !== membership.id) {
    void transaction.objectStore('shared_met').clear();
    void transaction.objectStore('shared_updates').clear();
  }
  void settings.put({ ...membership, key: MEMBERSHIP });
  await transaction.done;
}

/** Whether this browser shares a freezer; `false` where it stores nothing. */
export async function isSharing(): Promise<boolean> {
  const connection = new Connection({ emptied: () => undefined, blocked: () => undefined });
  try {
    return (await readMembership(await connection.open()))?.isOn ?? false;
  } catch {
    return false;
  } finally {
    connection.close();
  }
}
