// What one device may send to the shared freezer: how much before it has shown its key, how much in a second, and
// which kinds of messages. Counts; the clock is handed in.
import { IncomingMessage, MessageType } from '@hocuspocus/server';
import { decodeUpdate } from 'yjs';
import type { Refusal } from '#shared/freezer-terms.ts';

export interface GateLimits {
  /** Messages and bytes a second in the long run. */
  readonly messagesPerS: number;
  readonly bytesPerS: number;
  /** How many seconds' worth may come at once. */
  readonly burstS: number;
}
export const USUAL_LIMITS: GateLimits = { messagesPerS: 100, bytesPerS: 4_000_000, burstS: 10 };

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

/** The kind of a message; `null` where it is none, or brings an update that cannot be read. */
function kindOf(data: Uint8Array): MessageType | null {
  try {
    const message = new IncomingMessage(data);
    message.readVarString();
    const kind = message.readVarUint() as MessageType;
    if (kind === MessageType.Sync || kind === MessageType.SyncReply) {
      // The hub would pass over a broken one, and its device would never hear of it.
      const brings = message.readVarUint() !== QUESTION;
      const bytes = message.readVarUint8Array();
      if (brings) decodeUpdate(bytes);
    }
    return KNOWN.has(kind) ? kind : null;
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
    const kind = kindOf(data);
    if (kind === null) return 'not-understood';
    const isLong = kind === MessageType.Awareness && data.length > GREETING_BYTES;
    return isLong ? 'not-understood' : null;
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
