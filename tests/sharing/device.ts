// A device of the shared freezer in memory: records with stamps as the browser's database holds them, a replica over
// them that can be killed, and edits as a person makes them.
import * as Y from 'yjs';
import type { SavedBatch } from '#shared/schemas/batch.ts';
import type { SavedDesign, SavedLot } from '#shared/schemas/workspace.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { readEntry, type WorkspacePart } from '#storage/entries.ts';
import { Replica, type ShareStore, type StoredShare, type Turn } from '#sharing/replica.ts';
import type { LocalRecord, CommonPart } from '#sharing/meeting.ts';

const brief = SEED_BRIEFS[0]!.brief;
/** A brew that takes 60 g of Citra. */
export const PLANNED = {
  name: 'Brew',
  batch: brief.batch,
  stages: brief.stages,
  additions: [{ hop: 'Citra', form: 'pellet_90' as const, stage: 'dry_hop' as const, grams: 60 }],
};

export class MemoryStore implements ShareStore {
  readonly records = new Map<string, LocalRecord>();
  readonly met = new Map<string, CommonPart>();
  #updates: { readonly at: number; readonly update: Uint8Array }[] = [];
  #last = 0;
  /** Turns that are to fail when they are to be kept, as a full disk lets them. */
  failing = 0;

  async turn(since: number, work: (stored: StoredShare) => Turn): Promise<number> {
    await Promise.resolve();
    const updates = this.#updates.filter(({ at }) => at > since).map(({ update }) => update);
    const turn = work({ local: new Map(this.records), met: new Map(this.met), updates });
    if (this.failing > 0) {
      this.failing -= 1;
      throw new Error('the disk is full');
    }
    for (const [key, { stamp, part }] of turn.puts) {
      if (part) this.records.set(key, { stamp, part });
      else this.records.delete(key);
    }
    for (const met of turn.met) this.met.set(met.key, met);
    if (turn.update) {
      const isFull = this.#updates.length >= 20;
      this.#last += 1;
      if (isFull) this.#updates = [];
      this.#updates.push({ at: this.#last, update: isFull ? turn.whole() : turn.update });
    }
    return this.#last;
  }
}

export class Device {
  readonly store = new MemoryStore();
  #stamps = 0;
  replica: Replica;

  constructor(
    readonly name: string,
    private readonly starter: ReadonlyMap<string, WorkspacePart> = new Map(),
    /** The line has brought something. */
    private readonly brought: () => void = () => undefined,
  ) {
    this.replica = this.#open();
  }

  #open(): Replica {
    return new Replica(this.store, {
      starter: this.starter,
      newStamp: () => this.newStamp(),
      by: () => ({ name: this.name, at: 0 }),
      brought: () => this.brought(),
    });
  }

  newStamp(): string {
    this.#stamps += 1;
    return `${this.name}-${this.#stamps}`;
  }

  /** The page dies and is opened again: what was not kept is gone. */
  kill(): void {
    this.replica = this.#open();
  }

  /** The keys of what is kept that begin so. */
  keys(prefix: string): string[] {
    return [...this.store.records.keys()].filter((key) => key.startsWith(prefix)).sort();
  }

  part<T extends WorkspacePart>(key: string): T | null {
    return (this.store.records.get(key)?.part ?? null) as T | null;
  }
  lot(id: string): SavedLot | null {
    return this.part(`lot:${id}`);
  }
  batch(id: string): SavedBatch | null {
    return this.part(`batch:${id}`);
  }
  design(id: string): SavedDesign | null {
    return this.part(`design:${id}`);
  }

  /** Writes parts as one edit; `null` deletes. */
  edit(parts: Readonly<Record<string, WorkspacePart | null>>): void {
    for (const [key, part] of Object.entries(parts)) {
      if (!part) {
        this.store.records.delete(key);
        continue;
      }
      const read = readEntry({ key, version: 1, value: part });
      if (read.kind !== 'part') throw new Error(read.reason);
      this.store.records.set(key, { stamp: this.newStamp(), part: read.part });
    }
  }

  /** Everything kept here, by key. */
  kept(): Record<string, WorkspacePart> {
    const records = [...this.store.records].sort(([a], [b]) => (a < b ? -1 : 1));
    return Object.fromEntries(records.map(([key, { part }]) => [key, part!]));
  }
}

/** Two devices tell each other all they know, both ways, until neither has anything new. */
export async function join(...devices: readonly Device[]): Promise<void> {
  for (let round = 0; round < 3; round += 1) {
    for (const { replica } of devices) await replica.step();
    for (const { replica } of devices) if (round > 0 || devices.length === 1) replica.heard();
    for (const from of devices) {
      for (const to of devices) {
        if (from === to) continue;
        const news = Y.encodeStateAsUpdate(from.replica.wire, Y.encodeStateVector(to.replica.wire));
        Y.applyUpdate(to.replica.wire, news, 'line');
      }
    }
  }
  for (const { replica } of devices) await replica.step();
}
