// The screen's side of questions about blends: one open question per topic, the newest wins, every
// one of them is closed.
import type { OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Problem } from '#shared/outcome.ts';
import type { Ask, Finding, Question, Step, Topic } from './protocol.ts';
import { Thread, type SearchThread } from './thread.ts';

/** Who hears about a question. Exactly one of the last three closes it. */
export interface QuestionListener<T extends Topic> {
  step(step: Step<T>): void;
  found(finding: Finding<T>): void;
  refused(problems: readonly Problem[]): void;
  failed(reason: string): void;
}

export class Asking {
  readonly #thread: Thread;
  readonly #open = new Map<Topic, number>();

  /** @param start makes the thread; called for the first question. */
  constructor(start: () => SearchThread) {
    this.#thread = new Thread(start);
  }

  ask<T extends Topic>(topic: T, question: Question<T>, listener: QuestionListener<T>): void {
    const older = this.#open.get(topic);
    if (older !== undefined) this.#thread.drop(older);
    const id = this.#thread.nextId();
    this.#open.set(topic, id);
    const close = () => this.#open.delete(topic);
    this.#thread.ask({ kind: 'ask', id, topic, question } as Ask, {
      step: (reply) => {
        if (reply.kind === 'step') listener.step(reply.step as Step<T>);
      },
      closed: (reply) => {
        close();
        if (reply.kind === 'finding') listener.found(reply.finding as Finding<T>);
        else if (reply.kind === 'refused') listener.refused(reply.problems);
        else if (reply.kind === 'failed') listener.failed(reply.reason);
      },
      lost: (reason) => {
        close();
        listener.failed(reason);
      },
    });
  }

  /** From here on everything is asked of the model with what a person brings to it. */
  teach(knowledge: OwnKnowledge): void {
    this.#thread.teach(knowledge);
  }

  /** Ends a question with what is found so far. */
  stop(topic: Topic): void {
    const id = this.#open.get(topic);
    if (id !== undefined) this.#thread.stop(id);
  }

  /** Drops a question; nothing more is heard of it. */
  forget(topic: Topic): void {
    const id = this.#open.get(topic);
    if (id === undefined) return;
    this.#open.delete(topic);
    this.#thread.drop(id);
    this.#thread.tell({ kind: 'forget', id });
  }

  close(): void {
    this.#open.clear();
    this.#thread.close();
  }
}
