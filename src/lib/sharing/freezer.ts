// The shared freezer: one map for each lot, design and batch, in which devices write field by field, so that
// edits of two fields are both kept. A deleted part gets a flag. The grams of a lot are not a field: they are
// the sum of entries, one for each count by hand, less what batches have drawn, so that no draw is lost or
// counted twice. Anything may have been sent by another device, so a part is checked like a record of another
// tab.
import * as Y from 'yjs';
import { WORKSPACE_VERSION, type SavedLot } from '#shared/schemas/workspace.ts';
import type { SavedBatch } from '#shared/schemas/batch.ts';
import { batchId, lotId, readEntry, type WorkspacePart } from '#storage/entries.ts';
import { asFreezer } from './document.ts';
import { fieldChanges, fieldsOf, heldIn, valueOf } from './fields.ts';

/** Who changed a part last, and when, by the clock of that device. */
export interface ChangedBy {
  readonly name: string;
  /** Milliseconds since 1970. */
  readonly at: number;
}

export type SharedPart =
  | { readonly kind: 'part'; readonly part: WorkspacePart }
  | { readonly kind: 'gone' | 'none' }
  | { readonly kind: 'unreadable'; readonly reason: string };

/** One change of a part on this device. */
export interface PartChange {
  readonly key: string;
  /** The part before the change; `null`: it did not exist. */
  readonly was: WorkspacePart | null;
  /** The part after the change; `null`: deleted. */
  readonly now: WorkspacePart | null;
  /** Identifies the change: reported twice, it counts once. */
  readonly stamp: string;
}

const GONE = 'gone';
const VERSION = 'version';
const BY = 'by';
/** Prefix of the name of an entry of grams. */
const GRAMS = 'g:';
const FIRST = 'first';
/** Name of the flag that somebody has counted the grams: missing is not zero. */
const COUNTED = 'counted';
const LOT = 'lot:';
const NAME_MAX = 40;

const tidy = (grams: number) => Math.round(grams * 1000) / 1000;

/** Grams taken from lots, as a batch lists them; a value that is no such list takes nothing. */
function drawnIn(value: unknown): Map<string, number> {
  const drawn = new Map<string, number>();
  for (const item of Array.isArray(value) ? (value as unknown[]) : []) {
    const { lot, grams } = (item ?? {}) as { lot?: unknown; grams?: unknown };
    if (typeof lot !== 'string' || typeof grams !== 'number' || !(grams > 0)) continue;
    if (Number.isFinite(grams)) drawn.set(lot, (drawn.get(lot) ?? 0) + grams);
  }
  return drawn;
}

export class Freezer {
  readonly doc = asFreezer(new Y.Doc());
  /** Parts that may have changed since they were last read. */
  #touched = new Set<string>();
  readonly #followed = new Set<string>();
  /** Grams that batches have drawn, by the id of the lot and the key of the batch. */
  readonly #drawn = new Map<string, Map<string, number>>();

  constructor() {
    this.doc.on('afterTransaction', () => this.#followNew());
  }

  /** The keys of the parts that changed since this was last called. */
  touched(): ReadonlySet<string> {
    const touched = this.#touched;
    this.#touched = new Set();
    return touched;
  }

  keys(): string[] {
    return [...this.#followed];
  }

  has(key: string): boolean {
    return this.#followed.has(key);
  }

  read(key: string): SharedPart {
    if (!this.has(key)) return { kind: 'none' };
    const map = this.doc.getMap<unknown>(key);
    if (map.get(GONE) === true) return { kind: 'gone' };
    const value = valueOf(key, heldIn(map.entries()));
    if (Object.keys(value).length === (value['id'] === undefined ? 0 : 1)) return { kind: 'none' };
    const lot = lotId(key);
    if (lot !== null && map.get(COUNTED) === true) {
      const left = this.#gramsOf(lot);
      value['grams_on_hand'] = Math.max(0, left);
      // More was taken than the lot held: nothing of it is left.
      if (left < 0) value['out_of_stock'] = true;
    }
    return readEntry({ key, version: map.get(VERSION) as number, value });
  }

  /** Grams of a lot by all entries; below zero where more was taken than there was. */
  #gramsOf(lot: string): number {
    const map = this.doc.getMap<unknown>(LOT + lot);
    const entries = [...map.entries()].filter(([name]) => name.startsWith(GRAMS)).sort();
    const counted = entries.map(([, value]) => value);
    const taken = [...(this.#drawn.get(lot) ?? [])].sort().map(([, grams]) => -grams);
    const sound = (grams: unknown): grams is number => Number.isFinite(grams);
    return tidy([...counted, ...taken].filter(sound).reduce((sum, grams) => sum + grams, 0));
  }

  changedBy(key: string): ChangedBy | null {
    const by = this.has(key) ? this.doc.getMap<unknown>(key).get(BY) : null;
    const { name, at } = (by ?? {}) as { name?: unknown; at?: unknown };
    if (typeof name !== 'string' || typeof at !== 'number' || !Number.isFinite(at)) return null;
    return { name: name.slice(0, NAME_MAX), at };
  }

  /** Writes changes of this device, as one update. */
  write(changes: readonly PartChange[], by: ChangedBy): void {
    if (changes.length === 0) return;
    const drawn = new Map<string, number>();
    for (const { key, was, now } of changes) {
      if (batchId(key) === null) continue;
      // A deleted batch keeps what it drew: those hops are used.
      const [before, after] = [was, now ?? was].map((b) =>
        drawnIn((b as SavedBatch | null)?.drawn),
      );
      for (const [lot, grams] of before!) drawn.set(lot, (drawn.get(lot) ?? 0) - grams);
      for (const [lot, grams] of after!) drawn.set(lot, (drawn.get(lot) ?? 0) + grams);
    }
    this.doc.transact(() => {
      for (const change of changes) this.#write(change, drawn, by);
      this.#keepUnmoved(changes, drawn);
    });
  }

  /** Keeps the grams of lots that did not change here, although batches now state other draws. */
  #keepUnmoved(changes: readonly PartChange[], drawn: ReadonlyMap<string, number>): void {
    const moved = new Set(changes.map(({ key }) => key));
    const [{ stamp }] = changes as [PartChange];
    for (const [lot, grams] of drawn) {
      const key = LOT + lot;
      if (tidy(grams) === 0 || moved.has(key) || !this.has(key)) continue;
      this.doc.getMap<unknown>(key).set(GRAMS + stamp, tidy(grams));
    }
  }

  #write({ key, was, now, stamp }: PartChange, drawn: ReadonlyMap<string, number>, by: ChangedBy) {
    const map = this.doc.getMap<unknown>(key);
    if (!now) {
      map.set(GONE, true);
      map.set(BY, by);
      return;
    }
    if (map.get(GONE) === true) map.set(GONE, false);
    // A restored part is compared with what the other devices see.
    const shared = heldIn(map.entries());
    const from = fieldsOf(key, was ?? (valueOf(key, shared) as WorkspacePart));
    for (const [name, value] of fieldChanges(from, fieldsOf(key, now)))
      if (value === undefined) map.delete(name);
      else map.set(name, value);
    const lot = lotId(key);
    if (lot !== null) {
      const [before, after] = [was, now].map((part) => (part as SavedLot | null)?.grams_on_hand);
      this.#count(map, lot, { before, after, drawn: drawn.get(lot) ?? 0, stamp });
    }
    if (map.get(VERSION) !== WORKSPACE_VERSION) map.set(VERSION, WORKSPACE_VERSION);
    map.set(BY, by);
  }

  /** Adds an entry for a count by hand: the change beyond what batches drew. */
  #count(
    map: Y.Map<unknown>,
    lot: string,
    {
      before,
      after,
      drawn,
      stamp,
    }: {
      readonly before: number | undefined;
      readonly after: number | undefined;
      readonly drawn: number;
      readonly stamp: string;
    },
  ): void {
    if (after === undefined) {
      if (map.get(COUNTED) === true) map.set(COUNTED, false);
      return;
    }
    const total = this.#gramsOf(lot);
    // Where nobody had counted before, the count holds whatever the entries say; also where their sum is
    // negative, which was shown to nobody.
    const from = before === undefined || (before === 0 && total < 0) ? total : before;
    const change = tidy(after - from + drawn);
    // Devices that start with the same lot, such as the invented ones, have counted the same grams.
    const isFirst = map.get(COUNTED) === undefined;
    if (map.get(COUNTED) !== true) map.set(COUNTED, true);
    if (change !== 0) map.set(GRAMS + (isFirst ? FIRST : stamp), change);
  }

  /** Observes parts that have just been created. */
  #followNew(): void {
    if (this.doc.share.size === this.#followed.size) return;
    for (const key of [...this.doc.share.keys()]) {
      if (this.#followed.has(key)) continue;
      this.#followed.add(key);
      this.doc.getMap<unknown>(key).observe(() => this.#touch(key));
      this.#touch(key);
    }
  }

  #touch(key: string): void {
    this.#touched.add(key);
    if (batchId(key) === null) return;
    const now = drawnIn(this.doc.getMap<unknown>(key).get('f:drawn'));
    for (const [lot, by] of this.#drawn)
      if (!now.has(lot) && by.delete(key)) this.#touched.add(LOT + lot);
    for (const [lot, grams] of now) {
      if (!this.#drawn.has(lot)) this.#drawn.set(lot, new Map());
      this.#drawn.get(lot)!.set(key, grams);
      this.#touched.add(LOT + lot);
    }
  }
}
