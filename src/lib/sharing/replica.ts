// One device's copy of the shared freezer. What arrives from others and what is changed here pass through one
// turn of the store, which keeps records, freezer and what is known of both together or not at all. Only what
// is kept is sent: a device that crashes has never sent what it does not know any more.
import * as Y from 'yjs';
import type { WorkspacePart } from '#storage/entries.ts';
import { asFreezer } from './document.ts';
import { Freezer, type ChangedBy } from './freezer.ts';
import { meet, type LocalRecord, type CommonPart } from './meeting.ts';

/** What a store holds at the beginning of a turn. */
export interface StoredShare {
  readonly local: ReadonlyMap<string, LocalRecord>;
  readonly met: ReadonlyMap<string, CommonPart>;
  /** Updates of the freezer that this replica has not seen yet; other tabs add updates too. */
  readonly updates: readonly Uint8Array[];
}

/** What a turn writes to the store. */
export interface Turn {
  readonly puts: ReadonlyMap<
    string,
    { readonly stamp: string; readonly part: WorkspacePart | null }
  >;
  readonly met: readonly CommonPart[];
  /** The change of the freezer during the turn; `null`: none. */
  readonly update: Uint8Array | null;
  /** The whole freezer as one update, for a store that holds too many updates. */
  whole(): Uint8Array;
}

export interface ShareStore {
  /**
   * Runs one turn: all of it is kept, or the promise fails and nothing is. `work` runs synchronously.
   * @param since position after which updates are returned; 0: all.
   * @returns the position up to which the replica has now seen them.
   */
  turn(since: number, work: (stored: StoredShare) => Turn): Promise<number>;
}

/** The result of a turn, for those who show it. */
export interface TurnReport {
  /** How many records the changes of others have written here. */
  readonly arrived: number;
  readonly unreadable: ReadonlyMap<string, string>;
}

const KEPT = 'kept';

export class Replica {
  /** The document that is exchanged with the server; holds what is kept here and what others have sent. */
  readonly wire = asFreezer(new Y.Doc());
  #freezer = new Freezer();
  #incoming: Uint8Array[] = [];
  #turn: Promise<unknown> = Promise.resolve();
  readonly #unreadable = new Map<string, string>();
  /** Position up to which the updates of the store are in the freezer. */
  #seen = 0;
  /** Whether the others' updates have arrived since the page was opened. */
  #hasHeard = false;

  constructor(
    private readonly store: ShareStore,
    private readonly options: {
      readonly starter: ReadonlyMap<string, WorkspacePart>;
      newStamp(): string;
      by(): ChangedBy;
      /** An update has arrived: a turn is due. */
      brought(): void;
    },
  ) {
    this.wire.on('update', (update: Uint8Array, origin: unknown) => {
      if (origin === KEPT) return;
      this.#incoming.push(update);
      options.brought();
    });
  }

  /** Everything the others had has arrived: a new device may now add what it has. */
  heard(): void {
    this.#hasHeard = true;
    this.options.brought();
  }

  get freezer(): Freezer {
    return this.#freezer;
  }

  /** Brings records and freezer in step. Fails as the store fails; the next turn then starts afresh. */
  async step(): Promise<TurnReport> {
    const mine = this.#turn.then(() => this.#step());
    this.#turn = mine.catch(() => undefined);
    return mine;
  }

  async #step(): Promise<TurnReport> {
    const incoming = this.#incoming.splice(0);
    let done: { arrived: number; out: readonly Uint8Array[] } = { arrived: 0, out: [] };
    try {
      this.#seen = await this.store.turn(this.#seen, (stored) => {
        const { arrived, turn, out } = this.#work(stored, incoming);
        done = { arrived, out };
        return turn;
      });
    } catch (fault) {
      // The freezer in memory is ahead of what is kept, so it is read again.
      this.#freezer = new Freezer();
      this.#unreadable.clear();
      this.#incoming = [Y.encodeStateAsUpdate(this.wire)];
      this.#seen = 0;
      throw fault;
    }
    for (const update of done.out) Y.applyUpdate(this.wire, update, KEPT);
    return { arrived: done.arrived, unreadable: new Map(this.#unreadable) };
  }

  #work({ local, met, updates }: StoredShare, incoming: readonly Uint8Array[]) {
    const { freezer, options } = this;
    if (met.size === 0 && !this.#hasHeard) {
      // A new device receives before it sends: otherwise parts that every device starts with would count as its
      // own work.
      this.#incoming.unshift(...incoming);
      for (const update of updates) Y.applyUpdate(freezer.doc, update, KEPT);
      const nothing: Turn = {
        puts: new Map(),
        met: [],
        update: null,
        whole: () => Y.encodeStateAsUpdate(freezer.doc),
      };
      return { turn: nothing, arrived: 0, out: updates };
    }
    const own: Uint8Array[] = [];
    for (const update of [...updates, ...incoming]) Y.applyUpdate(freezer.doc, update, KEPT);
    const note = (update: Uint8Array) => own.push(update);
    freezer.doc.on('update', note);
    const step = meet(freezer, local, met, options.by(), options);
    freezer.doc.off('update', note);
    for (const { key } of step.met) this.#unreadable.delete(key);
    for (const [key, reason] of step.unreadable) this.#unreadable.set(key, reason);
    const news = [...incoming, ...own];
    const update = news.length > 0 ? Y.mergeUpdates(news) : null;
    const turn: Turn = {
      puts: step.puts,
      met: step.met,
      update,
      whole: () => Y.encodeStateAsUpdate(freezer.doc),
    };
    // What arrived from the server is already there.
    return { turn, arrived: step.puts.size, out: [...updates, ...own] };
  }
}
