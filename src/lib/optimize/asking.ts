// The screen's side of questions about blends: one open question per topic, the newest wins, every
// one of them is closed. A dead or deaf thread is ended; the next question starts another.
import type { Problem } from '#shared/outcome.ts';
import type { SearchThread } from './client.ts';
import type { Ask, Finding, Question, Reply, Request, Step, Topic } from './protocol.ts';

/** Who hears about a question. Exactly one of the last three closes it. */
export interface QuestionListener<T extends Topic> {
  step(step: Step<T>): void;
  found(finding: Finding<T>): void;
  refused(problems: readonly Problem[]): void;
  failed(reason: string): void;
}

/** How long a stop may take before the thread counts as deaf, ms: far above its longest step. */
const STOP_GRACE_MS = 6000;

interface Open {
  readonly id: number;
  readonly listener: QuestionListener<Topic>;
  deaf?: ReturnType<typeof setTimeout>;
}

export class Asking {
  readonly #start: () => SearchThread;
  readonly #open = new Map<Topic, Open>();
  #thread: SearchThread | null = null;
  #id = 0;

  /** @param start makes the thread; called for the first question, and after a thread died. */
  constructor(start: () => SearchThread) {
    this.#start = start;
  }

  ask<T extends Topic>(topic: T, question: Question<T>, listener: QuestionListener<T>): void {
    clearTimeout(this.#open.get(topic)?.deaf);
    this.#id += 1;
    const open = { id: this.#id, listener: listener as unknown as QuestionListener<Topic> };
    this.#open.set(topic, open);
    this.#send({ kind: 'ask', id: this.#id, topic, question } as Ask);
  }

  /** Ends a question with what is found so far. */
  stop(topic: Topic): void {
    const open = this.#open.get(topic);
    if (!open) return;
    this.#send({ kind: 'stop', id: open.id });
    clearTimeout(open.deaf);
    open.deaf = setTimeout(() => this.#died('it did not stop in time'), STOP_GRACE_MS);
  }

  /** Drops a question; nothing more is heard of it. */
  forget(topic: Topic): void {
    const open = this.#open.get(topic);
    if (!open) return;
    clearTimeout(open.deaf);
    this.#open.delete(topic);
    this.#send({ kind: 'forget', id: open.id });
  }

  close(): void {
    for (const { deaf } of this.#open.values()) clearTimeout(deaf);
    this.#open.clear();
    this.#end();
  }

  #send(request: Request): void {
    try {
      this.#thread ??= this.#started();
      this.#thread.postMessage(request);
    } catch (fault) {
      this.#died(fault instanceof Error ? fault.message : String(fault));
    }
  }

  #started(): SearchThread {
    const thread = this.#start();
    thread.onmessage = ({ data }) => this.#heard(data);
    thread.onerror = (event) => this.#died(event.message || 'it could not be loaded');
    return thread;
  }

  #end(): void {
    this.#thread?.terminate();
    this.#thread = null;
  }

  #died(reason: string): void {
    const lost = [...this.#open.values()];
    this.#open.clear();
    this.#end();
    for (const { listener, deaf } of lost) {
      clearTimeout(deaf);
      listener.failed(reason);
    }
  }

  #heard(reply: Reply): void {
    const found = [...this.#open].find(([, open]) => open.id === reply.id);
    if (!found) return;
    const [topic, { listener, deaf }] = found;
    if (reply.kind === 'step') {
      listener.step(reply.step);
      return;
    }
    clearTimeout(deaf);
    this.#open.delete(topic);
    if (reply.kind === 'finding') listener.found(reply.finding);
    else if (reply.kind === 'refused') listener.refused(reply.problems);
    else if (reply.kind === 'failed') listener.failed(reply.reason);
  }
}
