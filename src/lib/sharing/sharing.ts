// This browser as one device of a shared freezer: it joins and leaves, takes a turn whenever a tab here has
// saved something or an update has arrived, and reports its state. Several tabs may do so at once: each turn is
// one transaction.
import { DEVICE_NAME_MAX, FREEZER_PATH, REFUSALS, type FreezerKey } from '#shared/freezer-terms.ts';
import type { Fault } from '#state/documents/keeping.ts';
import { causeOf, newSharedStamp } from '#storage/database.ts';
import type { WorkspacePart } from '#storage/entries.ts';
import type { Membership } from '#storage/membership.ts';
import { BrowserStore } from './browser-store.ts';
import { Replica } from './replica.ts';
import type { ChangedBy } from './freezer.ts';
import { FreezerLine, type LineState } from './line.ts';

/** A changed part, and who changed it. */
export interface LatestChange extends ChangedBy {
  readonly key: string;
}

export interface SharingState {
  readonly membership: Membership | null;
  readonly line: LineState | null;
  /** Why sharing has stopped, and the cure. */
  readonly fault: Fault | null;
  /** When server and device last had all of each other's changes. */
  readonly syncedAt: Date | null;
  /** Parts of others that this page cannot read, with the reason. */
  readonly unreadable: ReadonlyMap<string, string>;
  /** The latest changes, the newest first. */
  readonly latest: readonly LatestChange[];
}

const CHANNEL = 'blendbine';
/** Message to other tabs: this browser joined or left. */
const MEMBERSHIP_CHANGED = 'membership';
/** How long to collect changes before a turn, ms. */
const GATHER_MS = 100;
const LATEST = 5;

export const UNREACHABLE: Fault = {
  reason: 'the server of the freezer cannot be reached',
  cure: 'Go on: what you change is kept here and joins by itself. If it stays so, look whether npm run share still runs, and whether this device is in the same network',
};

/** The address of the server: on the origin of the page. */
function lineAddress(): string {
  const { protocol, host } = window.location;
  return `${protocol === 'https:' ? 'wss' : 'ws'}://${host}${FREEZER_PATH}`;
}

export class Sharing {
  readonly #store = new BrowserStore();
  readonly #channel = new BroadcastChannel(CHANNEL);
  #replica: Replica | null = null;
  #line: FreezerLine | null = null;
  #isDue = false;
  #state: SharingState = {
    membership: null,
    line: null,
    fault: null,
    syncedAt: null,
    unreadable: new Map(),
    latest: [],
  };

  /**
   * @param starter parts of the invented workspace, which are nobody's own work.
   * @param changed called with every new state.
   */
  constructor(
    private readonly starter: ReadonlyMap<string, WorkspacePart>,
    private readonly changed: (state: SharingState) => void,
  ) {
    this.#channel.addEventListener('message', ({ data }: MessageEvent<unknown>) => {
      if (data === MEMBERSHIP_CHANGED) void this.open();
      else this.#soon();
    });
  }

  /** Continues sharing where this browser is a member. */
  async open(): Promise<void> {
    try {
      const membership = await this.#store.membership();
      const before = this.#state.membership;
      this.#tell({ membership });
      if (JSON.stringify(before) === JSON.stringify(membership)) return;
      this.#disconnect();
      if (membership?.isOn) this.#connect(membership);
    } catch (fault) {
      this.#tell({ fault: causeOf(fault) });
    }
  }

  async join(key: FreezerKey, name: string): Promise<void> {
    const called = name.trim().slice(0, DEVICE_NAME_MAX);
    await this.#enter({ ...key, name: called, isOn: true });
  }

  /** Leaves the freezer. Nothing is deleted: a device that joins again brings what was changed meanwhile. */
  async leave(): Promise<void> {
    const { membership } = this.#state;
    if (membership) await this.#enter({ ...membership, isOn: false });
  }

  async #enter(membership: Membership): Promise<void> {
    try {
      await this.#store.join(membership);
      this.#channel.postMessage(MEMBERSHIP_CHANGED);
      await this.open();
    } catch (fault) {
      this.#tell({ fault: causeOf(fault) });
    }
  }

  #connect(membership: Membership): void {
    const replica = new Replica(this.#store, {
      starter: this.starter,
      newStamp: newSharedStamp,
      by: () => ({ name: membership.name, at: Date.now() }),
      brought: () => this.#soon(),
    });
    this.#replica = replica;
    this.#line = new FreezerLine(
      replica,
      { url: lineAddress(), key: membership, name: membership.name },
      { changed: (line) => this.#hear(line) },
    );
    this.#tell({ line: this.#line.state, fault: null });
    this.#soon();
  }

  #disconnect(): void {
    this.#line?.close();
    this.#line = null;
    this.#replica = null;
    this.#tell({ line: null, fault: null });
  }

  #hear(line: LineState): void {
    const isWhole = line.state === 'there' && line.isHeard;
    const fault =
      line.state === 'refused' && line.refusal
        ? REFUSALS[line.refusal]
        : line.state === 'away'
          ? UNREACHABLE
          : null;
    this.#tell({ line, fault, ...(isWhole && { syncedAt: new Date() }) });
  }

  #soon(): void {
    if (!this.#replica || this.#isDue) return;
    this.#isDue = true;
    setTimeout(() => {
      this.#isDue = false;
      void this.#step();
    }, GATHER_MS);
  }

  async #step(): Promise<void> {
    const replica = this.#replica;
    if (!replica) return;
    try {
      const { arrived, unreadable } = await replica.step();
      if (replica !== this.#replica) return;
      if (arrived > 0) this.#channel.postMessage([]);
      this.#tell({ unreadable, latest: latestOf(replica) });
    } catch (fault) {
      this.#tell({ fault: causeOf(fault) });
    }
  }

  #tell(change: Partial<SharingState>): void {
    this.#state = { ...this.#state, ...change };
    this.changed(this.#state);
  }
}

function latestOf({ freezer }: Replica): LatestChange[] {
  const changes = freezer.keys().flatMap((key) => {
    const by = freezer.changedBy(key);
    return by ? [{ ...by, key }] : [];
  });
  return changes.sort((a, b) => b.at - a.at).slice(0, LATEST);
}
