// The screen's side of one of the search's threads: starts it, ends it, revives it. What is asked and not
// yet closed is kept here, so that a new thread takes it up where the old one ended or does not answer; after
// a few ends in a row it is said that it cannot run. Every request is closed once or dropped.
import { reasonOf } from '#shared/outcome.ts';
import { NO_KNOWLEDGE, sameKnowledge, type OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { ClosingReply, Reply, ThreadRequest, StepReply } from './protocol.ts';

/** A worker, and word of its end. */
export interface SearchThread {
  postMessage(request: ThreadRequest): void;
  terminate(): void;
  onmessage: ((event: MessageEvent<Reply>) => void) | null;
  /** It ended by itself, was killed, or never started; says why. */
  onended: ((reason: string) => void) | null;
}

/** Who waits for a request. Exactly one of the last two closes it. */
export interface Waiting {
  step(reply: StepReply): void;
  closed(reply: ClosingReply): void;
  lost(reason: string): void;
}

/** A request that asks for a reply. */
export type OpenRequest = Exclude<ThreadRequest, { kind: 'stop' | 'forget' | 'ready' | 'taught' }>;

/** Deaths in a row after which the thread is not started again. */
const LIVES = 3;
/** How long a stop may take before the thread counts as not answering, ms: far above a slice. */
const STOP_GRACE_MS = 2000;

interface Open {
  readonly request: OpenRequest;
  readonly waiting: Waiting;
  stopping: boolean;
  deaf?: ReturnType<typeof setTimeout>;
}

export class Thread {
  readonly #start: () => SearchThread;
  readonly #open = new Map<number, Open>();
  #thread: SearchThread | null = null;
  /** What a person brings to the model: sent to every new thread before anything else. */
  #taught = NO_KNOWLEDGE;
  #deaths = 0;
  #id = 0;

  /** @param start makes the worker; called for the first request and for each replacement. */
  constructor(start: () => SearchThread) {
    this.#start = start;
  }

  /** An id no request had before. */
  nextId(): number {
    this.#id += 1;
    return this.#id;
  }

  /** Sends a request and keeps it until it is closed. */
  ask(request: OpenRequest, waiting: Waiting): void {
    this.#open.set(request.id, { request, waiting, stopping: false });
    this.#send(request);
  }

  /** Sends what needs no reply, if the thread can be started. */
  tell(request: Exclude<ThreadRequest, OpenRequest>): void {
    try {
      this.#running().postMessage(request);
    } catch {
      // The fault is reported when something is asked for.
    }
  }

  /** From here on everything is asked of the model with what a person brings to it. */
  teach(knowledge: OwnKnowledge): void {
    if (sameKnowledge(knowledge, this.#taught)) return;
    this.#taught = knowledge;
    if (this.#thread) this.#send({ kind: 'taught', knowledge });
  }

  /** Asks an open request to end with what it has; one that does not is lost. */
  stop(id: number): void {
    const open = this.#open.get(id);
    if (!open) return;
    open.stopping = true;
    clearTimeout(open.deaf);
    open.deaf = setTimeout(() => {
      this.#open.delete(id);
      this.#end();
      open.waiting.lost('it did not stop in time and was ended');
      this.#askAgain();
    }, STOP_GRACE_MS);
    this.#send({ kind: 'stop', id });
  }

  /** Forgets a request: whatever comes of it, nobody hears of it. */
  drop(id: number): void {
    clearTimeout(this.#open.get(id)?.deaf);
    this.#open.delete(id);
  }

  /** Forgets everything and ends the thread. */
  close(): void {
    for (const id of [...this.#open.keys()]) this.drop(id);
    this.#end();
  }

  /** Returns whether it went out; where not, the thread died and that was dealt with. */
  #send(request: ThreadRequest): boolean {
    try {
      this.#running().postMessage(request);
      return true;
    } catch (fault) {
      this.#died(reasonOf(fault));
      return false;
    }
  }

  #running(): SearchThread {
    if (this.#thread) return this.#thread;
    const thread = this.#start();
    thread.onmessage = ({ data }) => this.#heard(data);
    thread.onended = (reason) => this.#died(reason);
    this.#thread = thread;
    if (!sameKnowledge(this.#taught, NO_KNOWLEDGE)) {
      thread.postMessage({ kind: 'taught', knowledge: this.#taught });
    }
    return thread;
  }

  #end(): void {
    if (!this.#thread) return;
    this.#thread.onmessage = null;
    this.#thread.onended = null;
    this.#thread.terminate();
    this.#thread = null;
  }

  #died(reason: string): void {
    this.#end();
    this.#deaths += 1;
    if (this.#deaths < LIVES) {
      this.#askAgain();
      return;
    }
    this.#deaths = 0;
    const lost = [...this.#open.values()];
    for (const { request, waiting } of lost) {
      this.drop(request.id);
      waiting.lost(reason);
    }
  }

  #askAgain(): void {
    for (const { request, stopping } of [...this.#open.values()]) {
      if (!this.#send(request)) return;
      if (stopping && !this.#send({ kind: 'stop', id: request.id })) return;
    }
  }

  #heard(reply: Reply): void {
    const open = this.#open.get(reply.id);
    if (!open) return;
    if (reply.kind === 'progress' || reply.kind === 'step') {
      open.waiting.step(reply);
      return;
    }
    this.#deaths = 0;
    this.drop(reply.id);
    open.waiting.closed(reply);
  }
}
