// What one device may send to the shared freezer: how much before it has shown its key, how much in a second, which
// kinds of messages, and of updates only such as a page writes. Counts; the clock is handed in.
import { IncomingMessage, MessageType } from '@hocuspocus/server';
import type { Refusal } from '#shared/freezer-terms.ts';
import { broughtBy, type Brought } from '#sharing/updates.ts';

export interface GateLimits {
  /** Messages and bytes a second in the long run. */
  readonly messagesPerS: number;
  readonly bytesPerS: number;
  /** How many seconds' worth may come at once. */
  readonly burstS: number;
  /** Parts of the freezer, deleted ones too. */
  readonly parts: number;
  /** Entries of one update, and of the freezer: to take one in costs 10 microseconds, to keep it 1. */
  readonly entriesAtOnce: number;
  readonly entries: number;
}
export const USUAL_LIMITS: GateLimits = {
  ...{ messagesPerS: 100, bytesPerS: 4_000_000, burstS: 10 },
  // As many lots, each whole, come at once; a freezer that is edited 50 times a day fills in ten years.
  ...{ parts: 8000, entriesAtOnce: 120_000, entries: 500_000 },
};

/** What the freezer has. */
export interface FreezerHeld {
  /** By name. */
  readonly parts: ReadonlyMap<string, unknown>;
  readonly entries: number;
}

/** Before the key is shown: the key, and the first question and greeting after it. */
const STRANGER_MESSAGES = 8;
const STRANGER_BYTES = 64_000;
/** A greeting is a name and a number. */
const GREETING_BYTES = 2000;

/** Kinds of messages that the page sends. */
const KNOWN: ReadonlySet<MessageType> = new Set([
  MessageType.Sync,
  MessageType.Awareness,
  MessageType.Auth,
  MessageType.QueryAwareness,
  MessageType.SyncReply,
  MessageType.CLOSE,
]);

/** What a message of sync asks (a question) or brings (an answer, an update). */
const QUESTION = 0;

interface Heard {
  readonly kind: MessageType;
  readonly brings: Brought;
}
const NOTHING: Brought = { parts: new Set(), entries: 0 };

/** What a message is; `null` where it is none, or brings an update that cannot be read. */
function heard(data: Uint8Array, entriesMax: number): Heard | null {
  try {
    const message = new IncomingMessage(data);
    message.readVarString();
    const kind = message.readVarUint() as MessageType;
    if (!KNOWN.has(kind)) return null;
    if (kind !== MessageType.Sync && kind !== MessageType.SyncReply)
      return { kind, brings: NOTHING };
    // The hub would pass over a broken one, and its device would never hear of it.
    const isQuestion = message.readVarUint() === QUESTION;
    const bytes = message.readVarUint8Array();
    const brings = isQuestion ? NOTHING : broughtBy(bytes, entriesMax);
    return brings && { kind, brings };
  } catch {
    return null;
  }
}

export class Gate {
  #isKnown = false;
  #messages = 0;
  #bytes = 0;
  #since: number;

  constructor(
    private readonly limits: GateLimits,
    private readonly now: () => number,
    private readonly held: () => FreezerHeld,
  ) {
    this.#since = now();
  }

  get isKnown(): boolean {
    return this.#isKnown;
  }

  /** The device has shown its key. */
  letIn(): void {
    this.#isKnown = true;
    this.#messages = 0;
    this.#bytes = 0;
    this.#since = this.now();
  }

  /** Why a message must not be taken; `null`: it may. */
  refusal(data: Uint8Array): Refusal | null {
    this.#drain();
    this.#messages += 1;
    this.#bytes += data.length;
    const { messagesPerS, bytesPerS, burstS } = this.limits;
    const messages = this.#isKnown ? messagesPerS * burstS : STRANGER_MESSAGES;
    const bytes = this.#isKnown ? bytesPerS * burstS : STRANGER_BYTES;
    if (this.#messages > messages || this.#bytes > bytes) return 'flood';
    const message = heard(data, this.limits.entriesAtOnce);
    if (message === null) return 'not-understood';
    if (message.kind === MessageType.Awareness && data.length > GREETING_BYTES)
      return 'not-understood';
    const { parts, entries } = message.brings;
    const held = this.held();
    const fresh = [...parts].filter((part) => !held.parts.has(part)).length;
    const isFull =
      entries > this.limits.entriesAtOnce ||
      (fresh > 0 && held.parts.size + fresh > this.limits.parts) ||
      (entries > 0 && held.entries + entries > this.limits.entries);
    return isFull ? 'full' : null;
  }

  /** What was sent a while ago does not count any more; of a stranger all counts. */
  #drain(): void {
    if (!this.#isKnown) return;
    const now = this.now();
    const seconds = Math.max(0, now - this.#since) / 1000;
    this.#since = now;
    this.#messages = Math.max(0, this.#messages - seconds * this.limits.messagesPerS);
    this.#bytes = Math.max(0, this.#bytes - seconds * this.limits.bytesPerS);
  }
}
