// What one device may send to the shared freezer: how much before it has shown its key, how much in a second,
// which kinds of messages, and only updates that a page writes. It counts; the caller passes in the time.
import { IncomingMessage, MessageType } from '@hocuspocus/server';
import type { Refusal } from '#shared/freezer-terms.ts';
import { broughtBy, type Brought } from '#sharing/updates.ts';

export interface GateLimits {
  /** Messages and bytes per second over a long time. */
  readonly messagesPerS: number;
  readonly bytesPerS: number;
  /** How many seconds' worth may arrive at once. */
  readonly burstS: number;
  /** Most parts of the freezer, deleted ones included. */
  readonly parts: number;
  /** Most entries of one update, and of the freezer: applying one takes 10 microseconds, keeping it 1. */
  readonly entriesAtOnce: number;
  readonly entries: number;
}
export const USUAL_LIMITS: GateLimits = {
  ...{ messagesPerS: 100, bytesPerS: 4_000_000, burstS: 10 },
  // This many whole lots may arrive at once; a freezer edited 50 times a day is full after ten years.
  ...{ parts: 8000, entriesAtOnce: 120_000, entries: 500_000 },
};

/** What the freezer holds. */
export interface FreezerHeld {
  /** By name. */
  readonly parts: ReadonlyMap<string, unknown>;
  readonly entries: number;
}

/** Messages a device may send before it has shown its key: the key, the first question and the first greeting. */
const STRANGER_MESSAGES = 8;
const STRANGER_BYTES = 64_000;
/** Most bytes of a greeting, which is a name and a number. */
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

/** Codes of a sync message: a question, or the data that answers it or updates it. */
const QUESTION = 0;

interface Heard {
  readonly kind: MessageType;
  readonly brings: Brought;
}
const NOTHING: Brought = { parts: new Set(), entries: 0 };

/** What a message contains; `null` where it is no message, or brings an update that cannot be read. */
function heard(data: Uint8Array, entriesMax: number): Heard | null {
  try {
    const message = new IncomingMessage(data);
    message.readVarString();
    const kind = message.readVarUint() as MessageType;
    if (!KNOWN.has(kind)) return null;
    if (kind !== MessageType.Sync && kind !== MessageType.SyncReply)
      return { kind, brings: NOTHING };
    // The server library would ignore a broken one without telling its device.
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

  /** Records that the device has shown its key. */
  letIn(): void {
    this.#isKnown = true;
    this.#messages = 0;
    this.#bytes = 0;
    this.#since = this.now();
  }

  /** Why a message must be refused; `null`: it is accepted. */
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

  /** Reduces the counts by what the time since then allows; before the key is shown everything counts. */
  #drain(): void {
    if (!this.#isKnown) return;
    const now = this.now();
    const seconds = Math.max(0, now - this.#since) / 1000;
    this.#since = now;
    this.#messages = Math.max(0, this.#messages - seconds * this.limits.messagesPerS);
    this.#bytes = Math.max(0, this.#bytes - seconds * this.limits.bytesPerS);
  }
}
