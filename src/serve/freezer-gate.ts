// What one device may send to the shared freezer: how much before it has shown its key, how much in a second, which
// kinds of messages, and of updates only such as a page writes. Counts; the clock is handed in.
import { IncomingMessage, MessageType } from '@hocuspocus/server';
import { decodeUpdate, Item } from 'yjs';
import { SHARED_DEPTH_MAX, type Refusal } from '#shared/freezer-terms.ts';

export interface GateLimits {
  /** Messages and bytes a second in the long run. */
  readonly messagesPerS: number;
  readonly bytesPerS: number;
  /** How many seconds' worth may come at once. */
  readonly burstS: number;
  /** Parts of the freezer, deleted ones too: what an update costs grows with their square. */
  readonly parts: number;
}
export const USUAL_LIMITS: GateLimits = {
  ...{ messagesPerS: 100, bytesPerS: 4_000_000, burstS: 10 },
  parts: 8000,
};

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

/** What a page writes into a part, by the library's own numbers: what was deleted, and plain values. */
const WRITTEN: ReadonlySet<number> = new Set([1, 8]);
function isPlain(value: unknown, depth = 0): boolean {
  if (typeof value !== 'object' || value === null) return typeof value !== 'bigint';
  if (depth === SHARED_DEPTH_MAX) return false;
  return Object.values(value).every((own) => isPlain(own, depth + 1));
}

/** The parts an update writes into; `null` where it holds what no page writes. */
function partsIn(update: Uint8Array): ReadonlySet<string> | null {
  const parts = new Set<string>();
  for (const struct of decodeUpdate(update).structs) {
    if (!(struct instanceof Item)) continue;
    const { content, parent } = struct;
    if (!WRITTEN.has(content.getRef()) || !content.getContent().every((own) => isPlain(own)))
      return null;
    if (typeof parent === 'string') parts.add(parent);
  }
  return parts;
}

interface Heard {
  readonly kind: MessageType;
  readonly parts: ReadonlySet<string>;
}
const NONE: ReadonlySet<string> = new Set();

/** What a message is; `null` where it is none, or brings an update that cannot be read. */
function heard(data: Uint8Array): Heard | null {
  try {
    const message = new IncomingMessage(data);
    message.readVarString();
    const kind = message.readVarUint() as MessageType;
    if (!KNOWN.has(kind)) return null;
    if (kind !== MessageType.Sync && kind !== MessageType.SyncReply) return { kind, parts: NONE };
    // The hub would pass over a broken one, and its device would never hear of it.
    const brings = message.readVarUint() !== QUESTION;
    const bytes = message.readVarUint8Array();
    const parts = brings ? partsIn(bytes) : NONE;
    return parts && { kind, parts };
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
    /** The parts that the freezer has, by name. */
    private readonly held: () => ReadonlyMap<string, unknown>,
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
    const message = heard(data);
    if (message === null) return 'not-understood';
    if (message.kind === MessageType.Awareness && data.length > GREETING_BYTES)
      return 'not-understood';
    const held = this.held();
    const fresh = [...message.parts].filter((part) => !held.has(part)).length;
    return held.size + fresh > this.limits.parts ? 'full' : null;
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
