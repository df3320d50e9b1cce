// The connection from a replica to the server of the freezer: it connects by itself whenever it can, lists who
// else is connected, and ends for good where the server refuses the device or sends what no page writes.
import {
  HocuspocusProvider,
  HocuspocusProviderWebsocket,
  MessageType,
  type onMessageParameters,
} from '@hocuspocus/provider';
import {
  DEVICE_NAME_MAX,
  freezerName,
  isRefusal,
  type FreezerKey,
  type Refusal,
} from '#shared/freezer-terms.ts';
import type { Replica } from './replica.ts';
import { broughtBy } from './updates.ts';

export interface LineState {
  /** `away`: the server cannot be reached now; the line keeps trying. */
  readonly state: 'joining' | 'there' | 'away' | 'refused';
  readonly refusal: Refusal | null;
  /** The names of the other connected devices. */
  readonly others: readonly string[];
  /** Whether the server has everything that was changed here. */
  readonly isHeard: boolean;
}

/** How long to wait before the server is tried again, ms, at first and at most. */
const USUAL_WAIT = [1000, 15_000] as const;

interface Hearer {
  changed(state: LineState): void;
}

/** Names in presence messages, as far as they have one. */
function namesIn(states: Iterable<readonly [number, unknown]>, own: number): string[] {
  const names: string[] = [];
  for (const [id, state] of states) {
    const name = (state as { name?: unknown } | null)?.name;
    if (id !== own && typeof name === 'string') names.push(name.slice(0, DEVICE_NAME_MAX));
  }
  return names.sort();
}

/** Codes of a sync message: a question, or the data that answers it or updates it. */
const QUESTION = 0;

/** Throws at an update that no page writes: the library then takes in none of the message. */
function judge({ message }: onMessageParameters): void {
  message.readVarString();
  const kind = message.readVarUint();
  if (kind !== MessageType.Sync || Number(message.readVarUint()) === QUESTION) return;
  if (broughtBy(message.readVarUint8Array()) === null) throw new Error('no page writes this');
}

class JudgingProvider extends HocuspocusProvider {
  /** Called where a message could not be read or must not be accepted. */
  failed: () => void = () => undefined;

  override onMessage(event: onMessageParameters['event']): void {
    try {
      super.onMessage(event);
    } catch {
      this.failed();
    }
  }
}

export class FreezerLine {
  readonly #socket: HocuspocusProviderWebsocket;
  readonly #provider: JudgingProvider;
  readonly #replica: Replica;
  readonly #hearer: Hearer;
  #state: LineState = { state: 'joining', refusal: null, others: [], isHeard: false };
  #isListening = true;

  /**
   * @param url of the server, like `ws://192.168.1.20:4173/freezer`.
   * @param again how long to wait before the server is tried again, ms, at first and at most.
   */
  constructor(
    replica: Replica,
    { url, key, name }: { readonly url: string; readonly key: FreezerKey; readonly name: string },
    hearer: Hearer,
    [soon, late]: readonly [number, number] = USUAL_WAIT,
  ) {
    this.#replica = replica;
    this.#hearer = hearer;
    const socket = new HocuspocusProviderWebsocket({
      url,
      delay: soon,
      minDelay: soon,
      maxDelay: late,
    });
    this.#socket = socket;
    this.#provider = new JudgingProvider({
      websocketProvider: socket,
      name: freezerName(key),
      token: key.token,
      document: replica.wire,
      onMessage: judge,
      // Not earlier: what was changed meanwhile is sent when the two compare what they have.
      onAuthenticated: () => this.#listen(true),
      onSynced: () => {
        this.#tell({ state: 'there' });
        replica.heard();
      },
      onUnsyncedChanges: ({ number }) => this.#tell({ isHeard: number === 0 }),
      onAwarenessChange: () => this.#tell({ others: this.#others() }),
      onAuthenticationFailed: ({ reason }) => this.#refused(reason),
      onClose: ({ event }) => {
        this.#listen(false);
        if (isRefusal(event.reason)) this.#refused(event.reason);
        else this.#tell({ state: 'away', others: [] });
      },
    });
    this.#provider.failed = () => this.#refused('not-understood');
    this.#listen(false);
    this.#provider.attach();
    this.#provider.setAwarenessField('name', name.slice(0, DEVICE_NAME_MAX));
  }

  get state(): LineState {
    return this.#state;
  }

  close(): void {
    this.#hearer.changed = () => undefined;
    this.#provider.destroy();
    this.#socket.destroy();
  }

  #others(): string[] {
    const { awareness } = this.#provider;
    return awareness ? namesIn(awareness.getStates(), this.#replica.wire.clientID) : [];
  }

  /** Nothing is queued while the server is away: when it is back, the two compare what they have. */
  #listen(isOpen: boolean): void {
    if (this.#isListening === isOpen) return;
    this.#isListening = isOpen;
    const { boundDocumentUpdateHandler: hear } = this.#provider;
    if (isOpen) this.#replica.wire.on('update', hear);
    else this.#replica.wire.off('update', hear);
  }

  #refused(reason: string): void {
    const refusal = isRefusal(reason) ? reason : 'not-understood';
    this.#tell({ state: 'refused', refusal, others: [] });
    // The server would refuse it again and again.
    this.#socket.disconnect();
  }

  #tell(change: Partial<LineState>): void {
    if (this.#state.state === 'refused' && change.state !== 'joining') return;
    this.#state = { ...this.#state, ...change };
    this.#hearer.changed(this.#state);
  }
}
