// One kind of question and the state of its answer: idle, running, answered, refused, failed. A newer question
// replaces the one before; an answer that no longer fits what is shown is cleared.
import type { Problem } from '#shared/outcome.ts';
import type { OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { QuestionListener } from '#optimize/worker/asking.ts';
import type { Finding, Question, Step, Topic } from '#optimize/worker/protocol.ts';

/** Who answers questions; passed in, so that this runs without a worker. */
export interface Asker {
  ask<T extends Topic>(topic: T, question: Question<T>, listener: QuestionListener<T>): void;
  stop(topic: Topic): void;
  forget(topic: Topic): void;
  /** Sets what a person adds to the model; it counts for every later question. */
  teach(knowledge: OwnKnowledge): void;
}

export type InquiryState<T extends Topic> =
  | { readonly state: 'idle' }
  | { readonly state: 'working'; readonly step: Step<T> | null }
  | { readonly state: 'found'; readonly finding: Finding<T> }
  | { readonly state: 'refused'; readonly problems: readonly Problem[] }
  | { readonly state: 'failed'; readonly reason: string };

export class Inquiry<T extends Topic> {
  readonly #topic: T;
  readonly #asker: () => Asker | null;
  readonly #sent: (question: Question<T>) => Question<T>;
  #stand = $state.raw<InquiryState<T>>({ state: 'idle' });
  #question = $state.raw<Question<T> | null>(null);

  /** @param sent what is really asked in place of a question: the same, limited to what is in stock. */
  constructor(
    topic: T,
    asker: () => Asker | null,
    sent: (question: Question<T>) => Question<T> = (question) => question,
  ) {
    this.#topic = topic;
    this.#asker = asker;
    this.#sent = sent;
  }

  get stand(): InquiryState<T> {
    return this.#stand;
  }
  /** The last question; `null` while idle. */
  get question(): Question<T> | null {
    return this.#question;
  }
  get working(): boolean {
    return this.#stand.state === 'working';
  }
  get finding(): Finding<T> | null {
    return this.#stand.state === 'found' ? this.#stand.finding : null;
  }
  /** The newest progress report. */
  get step(): Step<T> | null {
    return this.#stand.state === 'working' ? this.#stand.step : null;
  }

  /** @param heard called with each new state of this question. */
  ask(question: Question<T>, heard: (stand: InquiryState<T>) => void = () => {}): void {
    this.#question = question;
    const asker = this.#asker();
    if (!asker) {
      this.#stand = { state: 'failed', reason: 'it has not been loaded yet' };
      return;
    }
    this.#stand = { state: 'working', step: null };
    const hear = (stand: InquiryState<T>) => {
      this.#stand = stand;
      heard(stand);
    };
    asker.ask(this.#topic, this.#sent(question), {
      step: (step) => hear({ state: 'working', step }),
      found: (finding) => hear({ state: 'found', finding }),
      refused: (problems) => hear({ state: 'refused', problems }),
      failed: (reason) => hear({ state: 'failed', reason }),
    });
  }

  /** Ends the question with the best result so far. */
  stop(): void {
    if (this.working) this.#asker()?.stop(this.#topic);
  }

  /** Drops question and answer. */
  clear(): void {
    if (this.working) this.#asker()?.forget(this.#topic);
    this.#question = null;
    this.#stand = { state: 'idle' };
  }
}
