// One device at work on the shared freezer: what the line brings and what is changed here go through one turn of
// the store, in which records, freezer and what is known of both are kept together or not at all. Only what is
// kept goes out on the line: a device that dies has never told what it does not know any more.
import * as Y from 'yjs';
import type { WorkspacePart } from '#storage/entries.ts';
import { asFreezer } from './document.ts';
import { Freezer, type ChangedBy } from './freezer.ts';
import { meet, type LocalRecord, type CommonPart } from './meeting.ts';

/** What a store holds at the beginning of a turn. */
export interface StoredShare {
  readonly local: ReadonlyMap<string, LocalRecord>;
  readonly met: ReadonlyMap<string, CommonPart>;
  /** Updates of the freezer that this replica has not seen yet; other tabs add theirs. */
  readonly updates: readonly Uint8Array[];
}

/** What a turn leaves on the store. */
export interface Turn {
  readonly puts: ReadonlyMap<
    string,
    { readonly stamp: string; readonly part: WorkspacePart | null }
  >;
  readonly met: readonly CommonPart[];
  /** What the freezer took in during the turn; `null`: nothing. */
  readonly update: Uint8Array | null;
  /** The whole freezer in one update, for a store that holds too many. */
  whole(): Uint8Array;
}

export interface ShareStore {
  /**
   * One turn: all of it is kept, or the promise fails and nothing is. The work is done at once.
   * @param since the place behind which updates are handed out; 0: all.
   * @returns the place up to which the replica has seen them now.
   */
  turn(since: number, work: (stored: StoredShare) => Turn): Promise<number>;
}

/** What a turn has come to, for whoever shows it. */
export interface TurnReport {
  /** How many records others' changes have written here. */
  readonly arrived: number;
  readonly unreadable: ReadonlyMap<string, string>;
}

const KEPT = 'kept';

export class Replica {
  /** What goes over the line; holds what is kept here and what others have sent. */
  readonly wire = asFreezer(new Y.Doc());
  #freezer = new Freezer();
  #incoming: Uint8Array[] = [];
  #turn: Promise<unknown> = Promise.resolve();
  readonly #unreadable = new Map<string, string>();
  /** Up to where the updates of the store are in the freezer. */
  #seen = 0;
  /** Whether the others were heard since the page was opened. */
  #hasHeard = false;

  constructor(
    private readonly store: ShareStore,
    private readonly options: {
      readonly starter: ReadonlyMap<string, WorkspacePart>;
      newStamp(): string;
      by(): ChangedBy;
      /** The line has brought something: a turn is due. */
      brought(): void;
    },
  ) {
    this.wire.on('update', (update: Uint8Array, origin: unknown) => {
      if (origin === KEPT) return;
      this.#incoming.push(update);
      options.brought();
    });
  }

  /** All that the others had is there: a device that is new may now bring what it has. */
  heard(): void {
    this.#hasHeard = true;
    this.options.brought();
  }

  get freezer(): Freezer {
    return this.#freezer;
  }

  /** Brings records and freezer in step. Fails as the store fails; the next turn then begins afresh. */
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
      // The freezer in memory is ahead of what is kept: it is read anew.
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
      // Whoever is new hears first: else what all have from the start would count as their own work.
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
    // What has come by the line is there already.
    return { turn, arrived: step.puts.size, out: [...updates, ...own] };
  }
}
