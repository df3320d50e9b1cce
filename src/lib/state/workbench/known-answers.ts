// Answers found earlier, so that no question is searched twice: after an undo, or when a design is opened
// again. An answer belongs to its question as the search got it, with stock, own tables and what was learned
// from tastings. Answers are kept in memory while the page is open, and beyond that in a store, passed in,
// which returns only answers of this same program version.
import { NO_KNOWLEDGE, type OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { AttainableRanges } from '#optimize/live/attainable-range.ts';
import type { QuestionListener } from '#optimize/worker/asking.ts';
import type { Designed, Question, Topic } from '#optimize/worker/protocol.ts';
import type { Asker } from './inquiry.svelte.ts';
import { blendRestsOn, reachRestsOn } from './same-question.ts';
import type { Searcher } from './searcher.ts';

/** Where answers are kept after the page is closed. Losing one costs only time, so no method rejects. */
export interface AnswerStore {
  /** `null` where nothing is kept; this is known without waiting. */
  find(question: string): Promise<unknown> | null;
  keep(question: string, found: unknown): void;
}

/** An answer computed when the site was built, with nothing learned, and the attainable range of its axes. */
export interface Built {
  readonly brief: Brief;
  readonly designed: Designed;
  readonly reach: AttainableRanges;
}

/** Number of answers kept in memory: enough for the steps a person goes back and forth between. */
const IN_MEMORY = 48;

export class KnownAnswers {
  readonly #memory = new Map<string, unknown>();
  readonly #store: () => AnswerStore | null;

  constructor(store: () => AnswerStore | null) {
    this.#store = store;
  }

  get(question: string): unknown {
    return this.#memory.get(question);
  }

  /** Looks in the store; `null` where there is nothing to wait for. */
  look(question: string): Promise<unknown> | null {
    return this.#store()?.find(question) ?? null;
  }

  /** @param beyond whether the answer is also put into the store. */
  note(question: string, found: unknown, beyond = true): void {
    this.#memory.delete(question);
    this.#memory.set(question, found);
    if (this.#memory.size > IN_MEMORY) this.#memory.delete(this.#memory.keys().next().value!);
    if (beyond) this.#store()?.keep(question, found);
  }

  /** Adds an answer that was delivered with the page. */
  noteBuilt({ brief, designed, reach }: Built): void {
    this.note(designQuestion(brief, NO_KNOWLEDGE), designed, false);
    this.note(reachQuestion(brief, NO_KNOWLEDGE), reach, false);
  }
}

/** A question, by what of the brief its answer rests on and by what a person brings to the model. */
function designQuestion(brief: Brief, { own, learned }: OwnKnowledge): string {
  return `design ${blendRestsOn(brief)} ${JSON.stringify([own, learned])}`;
}
function reachQuestion(brief: Brief, { own, learned }: OwnKnowledge): string {
  return `reach ${reachRestsOn(brief)} ${JSON.stringify([own, learned])}`;
}

/** Whether the search ran to its end, so that a longer one would find nothing better. */
function isFinal({ answer }: Designed): boolean {
  return answer.status === 'optimal' || (answer.status === 'closest' && answer.gap === 0);
}

/** A searcher that takes the message that nobody waits for its answer any more. */
interface InnerSearcher extends Searcher {
  forget(): void;
}

/** A searcher that passes only unknown questions on to another one. */
export class KnowingSearcher implements Searcher {
  readonly #known: KnownAnswers;
  readonly #inner: InnerSearcher;
  readonly #answered: (designed: Designed) => void;
  #taught = NO_KNOWLEDGE;
  /** The question in progress; `null` where there is none. */
  #open: { readonly question: string } | null = null;
  /** Whether the person has asked to end it. */
  #isStopped = false;
  /** Whether it was passed on to the other searcher; until then it is only looked up. */
  #isPassedOn = false;

  /** @param answered called with an answer that was known. */
  constructor(known: KnownAnswers, inner: InnerSearcher, answered: (designed: Designed) => void) {
    this.#known = known;
    this.#inner = inner;
    this.#answered = answered;
  }

  design(brief: Brief): void {
    const question = designQuestion(brief, this.#taught);
    const open = (this.#open = { question });
    this.#isStopped = false;
    const known = this.#known.get(question) as Designed | undefined;
    const kept = known ? null : this.#known.look(question);
    this.#isPassedOn = !known && !kept;
    if (!this.#isPassedOn) this.#inner.forget();
    if (known) this.#recalled(known);
    else if (!kept) this.#inner.design(brief);
    else {
      void kept.then((found) => {
        if (this.#open !== open) return;
        if (found) {
          this.#known.note(question, found, false);
          this.#recalled(found as Designed);
          return;
        }
        this.#isPassedOn = true;
        this.#inner.design(brief);
        if (this.#isStopped) this.#inner.stop();
      });
    }
  }

  /** Takes note of an answer that the other searcher gave. */
  heard(designed: Designed): void {
    const open = this.#open;
    this.#open = null;
    if (open && !this.#isStopped && isFinal(designed)) this.#known.note(open.question, designed);
  }

  live(brief: Brief, hops: readonly string[]): void {
    this.#open = null;
    this.#inner.live(brief, hops);
  }
  ready(brief: Brief, hops: readonly string[], slowly: boolean): void {
    this.#inner.ready(brief, hops, slowly);
  }
  teach(knowledge: OwnKnowledge): void {
    this.#taught = knowledge;
    this.#inner.teach(knowledge);
  }
  stop(): void {
    this.#isStopped = true;
    if (this.#isPassedOn) this.#inner.stop();
  }

  #recalled(designed: Designed): void {
    this.#open = null;
    this.#answered(designed);
  }
}

/** The same for questions: of these, only the attainable range of the axes is known beforehand or kept. */
export class KnowingAsker implements Asker {
  readonly #known: KnownAnswers;
  readonly #inner: Asker;
  #taught = NO_KNOWLEDGE;
  /** The latest lookup in the store. */
  #looking: object | null = null;

  constructor(known: KnownAnswers, inner: Asker) {
    this.#known = known;
    this.#inner = inner;
  }

  ask<T extends Topic>(topic: T, question: Question<T>, listener: QuestionListener<T>): void {
    if (topic !== 'reach') this.#inner.ask(topic, question, listener);
    else this.#askReach(question as Brief, listener as unknown as QuestionListener<'reach'>);
  }

  #askReach(brief: Brief, listener: QuestionListener<'reach'>): void {
    const question = reachQuestion(brief, this.#taught);
    const known = this.#known.get(question) as AttainableRanges | undefined;
    const kept = known ? null : this.#known.look(question);
    const looking = (this.#looking = {});
    this.#inner.forget('reach');
    if (known) listener.found(known);
    else if (!kept) this.#inner.ask('reach', brief, this.#noting(question, listener));
    else {
      void kept.then((found) => {
        if (this.#looking !== looking) return;
        if (!found) this.#inner.ask('reach', brief, this.#noting(question, listener));
        else {
          this.#known.note(question, found, false);
          listener.found(found as AttainableRanges);
        }
      });
    }
  }

  #noting(question: string, listener: QuestionListener<'reach'>): QuestionListener<'reach'> {
    return {
      ...listener,
      found: (reach) => {
        this.#known.note(question, reach);
        listener.found(reach);
      },
    };
  }

  stop(topic: Topic): void {
    this.#inner.stop(topic);
  }
  forget(topic: Topic): void {
    if (topic === 'reach') this.#looking = null;
    this.#inner.forget(topic);
  }
  teach(knowledge: OwnKnowledge): void {
    this.#taught = knowledge;
    this.#inner.teach(knowledge);
  }
}
