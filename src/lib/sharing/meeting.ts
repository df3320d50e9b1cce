// Brings the records of this browser and the shared freezer in step: what was changed here since the last step
// goes into the freezer field by field, what others changed is returned as records to write. A pure function
// from what is kept to what is to be kept; a change reported twice counts once.
import { newId } from '#state/documents/documents.ts';
import {
  keyBeside,
  readEntry,
  samePart,
  type Stamp,
  type WorkspacePart,
} from '#storage/entries.ts';
import { WORKSPACE_VERSION, type SavedDesign } from '#shared/schemas/workspace.ts';
import { OWN_TABLES } from './fields.ts';
import type { ChangedBy, Freezer, PartChange } from './freezer.ts';

/** A record of this browser. */
export interface LocalRecord {
  readonly stamp: Stamp;
  /** `null` where it cannot be read: the record is then left alone. */
  readonly part: WorkspacePart | null;
}

/** A part as it stood here and in the freezer after the last step. */
export interface CommonPart {
  readonly key: string;
  /** Stamp of the record; `null`: there was none. */
  readonly stamp: Stamp;
  readonly part: WorkspacePart | null;
}

interface Agreement {
  /** Records to write with these stamps; `null`: to delete. */
  readonly puts: ReadonlyMap<
    string,
    { readonly stamp: string; readonly part: WorkspacePart | null }
  >;
  readonly met: readonly CommonPart[];
  /** Shared parts that cannot be read here, by key, with the reason. They stay in the freezer as they are. */
  readonly unreadable: ReadonlyMap<string, string>;
}

/** A shared part with what only this browser keeps: the last blend, if the brief did not change. */
function withOwn(shared: WorkspacePart, own: WorkspacePart | null): WorkspacePart {
  const blend = (own as SavedDesign | null)?.blend;
  if (!blend) return shared;
  const same =
    JSON.stringify((own as SavedDesign).brief) === JSON.stringify((shared as SavedDesign).brief);
  // Fields in the order of the schema, in which parts are compared.
  const { id, brief, ...rest } = shared as SavedDesign;
  return same ? { id, brief, blend, ...rest } : shared;
}

/** A part as it would be read from a record, so that it can be compared with one. */
function asRead(key: string, value: WorkspacePart | undefined): WorkspacePart | null {
  if (!value) return null;
  const read = readEntry({ key, version: WORKSPACE_VERSION, value });
  return read.kind === 'part' ? read.part : null;
}

/**
 * One step.
 * @param local every record of this browser, by key.
 * @param met what is known from the last step.
 * @param starter parts of the invented workspace, which are nobody's own work.
 * @param newStamp makes a stamp nobody has written before.
 */
export function meet(
  freezer: Freezer,
  local: ReadonlyMap<string, LocalRecord>,
  met: ReadonlyMap<string, CommonPart>,
  by: ChangedBy,
  {
    starter,
    newStamp,
  }: { readonly starter: ReadonlyMap<string, WorkspacePart>; newStamp(): string },
): Agreement {
  const puts = new Map<string, { stamp: string; part: WorkspacePart | null }>();
  const isOpaque = (key: string) => local.get(key)?.part === null;
  const changes: PartChange[] = [];
  const changed = new Set<string>();
  for (const key of new Set([...local.keys(), ...met.keys()])) {
    const [record, last] = [local.get(key), met.get(key)];
    if (isOpaque(key) || (record?.stamp ?? null) === (last?.stamp ?? null)) continue;
    changed.add(key);
    const now = record?.part ?? null;
    const stamp = record?.stamp ?? newStamp();
    if (last || !now) {
      changes.push({ key, was: last?.part ?? null, now, stamp });
      continue;
    }
    const theirs = freezer.read(key);
    if (theirs.kind === 'none' || key === OWN_TABLES) {
      changes.push({ key, was: null, now, stamp });
      continue;
    }
    // Both had the part before the first step: theirs stands, and a person's own work is kept beside it.
    const isSame = theirs.kind === 'part' && samePart(withOwn(theirs.part, now), now);
    const isOwn = !isSame && !samePart(asRead(key, starter.get(key)), now);
    if (!isOwn || theirs.kind === 'unreadable' || !('id' in now)) continue;
    const copy = { ...now, id: newId() };
    const beside = keyBeside(key, copy.id);
    const put = { stamp: newStamp(), part: copy };
    puts.set(beside, put);
    changes.push({ key: beside, was: null, now: copy, stamp: put.stamp });
  }
  freezer.write(changes, by);
  return outcome(freezer, local, { changed, puts, isOpaque, newStamp });
}

function outcome(
  freezer: Freezer,
  local: ReadonlyMap<string, LocalRecord>,
  {
    changed,
    puts,
    isOpaque,
    newStamp,
  }: {
    readonly changed: ReadonlySet<string>;
    readonly puts: Map<string, { stamp: string; part: WorkspacePart | null }>;
    isOpaque(key: string): boolean;
    newStamp(): string;
  },
): Agreement {
  const met: CommonPart[] = [];
  const unreadable = new Map<string, string>();
  for (const key of new Set([...freezer.touched(), ...changed, ...puts.keys()])) {
    if (isOpaque(key)) continue;
    const shared = freezer.read(key);
    if (shared.kind === 'none') continue;
    const record = puts.get(key) ?? local.get(key);
    const own = record?.part ?? null;
    if (shared.kind === 'unreadable') {
      unreadable.set(key, shared.reason);
      if (changed.has(key)) met.push({ key, stamp: record?.stamp ?? null, part: own });
      continue;
    }
    const part = shared.kind === 'part' ? withOwn(shared.part, own) : null;
    if (samePart(part, own)) {
      met.push({ key, stamp: record && own ? record.stamp : null, part });
      continue;
    }
    const stamp = newStamp();
    puts.set(key, { stamp, part });
    met.push({ key, stamp: part ? stamp : null, part });
  }
  return { puts, met, unreadable };
}
