// One kind of question and the state of its answer: idle, running, answered, refused, failed. A newer question
// replaces the one before; an answer that no longer fits what is shown is cleared.
import type { Problem } from '#shared/outcome.ts';
import type { Save } from '#shared/schemas/asked.ts';
import { NO_KNOWLEDGE, type OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Offering } from '#state/stock/out-of-stock.ts';
import { POINT_WORTH_G_PER_L } from '#optimize/questions/options.ts';
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

/** Bans what is out of stock from what a question may use. */
export type InStock = <T extends Offering>(asked: T) => T;

/** Where replacements may come from: the lots a brief lists, the stock, the whole table. */
export type ReplacementSource = 'brief' | 'stock' | 'table';

/** All questions about what is shown, one of each kind at a time. */
export class Inquiries {
  #asker: Asker | null = null;
  #taught = NO_KNOWLEDGE;
  readonly #inStock: InStock;
  readonly explain = this.#of('explain');
  readonly whyNot = this.#of('why_not');
  readonly doubt = this.#of('doubt');
  readonly alternatives = this.#of('alternatives', (brief) => this.#inStock(brief));
  readonly hold = this.#of('hold', (asked) => this.#ofStock(asked));
  readonly tradeoff = this.#of('tradeoff', (asked) => this.#ofStock(asked));
  /**
   * About the brief without what is out of stock; the answer stays while only the share of lots asked for
   * changes.
   */
  readonly chances = this.#of('chances');
  readonly swap = this.#of('swap', (swap) => this.#inStock(swap));
  readonly save = this.#of('save', (save) => this.#inStock(save));
  readonly predict = this.#of('predict');
  readonly along = this.#of('along');
  readonly replan = this.#of('replan', (asked) => this.#ofStock(asked));
  readonly learn = this.#of('learn');
  readonly beside = this.#of('beside');
  readonly reach = this.#of('reach', (brief) => this.#inStock(brief));

  /** Where the replacements of the last question come from. */
  replacementsFrom = $state.raw<ReplacementSource>('table');

  /**
   * Hop weight that one point of miss is worth when the rest is designed again, g/L; remembered while the page
   * is open.
   */
  pointWorth = $state(POINT_WORTH_G_PER_L);

  /** The goal of a saving and the price of a litre of beer; remembered while the page is open. */
  savingAim = $state.raw<Pick<Save, 'save_at_least' | 'beer_price_per_l'>>({});

  /** @param inStock bans what is out of stock from what a question may use. */
  constructor(inStock: InStock = (asked) => asked) {
    this.#inStock = inStock;
  }

  use(asker: Asker): void {
    this.#asker = asker;
    asker.teach(this.#taught);
  }

  teach(knowledge: OwnKnowledge): void {
    this.#taught = knowledge;
    this.#asker?.teach(knowledge);
  }

  /** Ends questions about a blend that is about to change, so that no work is wasted. */
  rest(): void {
    for (const inquiry of [
      this.explain,
      this.whyNot,
      this.doubt,
      this.alternatives,
      this.hold,
      this.tradeoff,
    ]) {
      if (inquiry.working) inquiry.clear();
    }
    for (const inquiry of [this.predict, this.replan]) if (inquiry.working) inquiry.clear();
    for (const inquiry of [this.swap, this.save]) if (inquiry.working) inquiry.clear();
  }

  /**
   * Clears everything about a brief and its blends.
   * @param shown whether this includes the shown blend, and what would replace it.
   */
  clear(shown = true): void {
    this.explain.clear();
    this.whyNot.clear();
    this.doubt.clear();
    this.alternatives.clear();
    this.hold.clear();
    this.tradeoff.clear();
    if (!shown) return;
    this.swap.clear();
    this.save.clear();
  }

  #of<T extends Topic>(topic: T, sent?: (question: Question<T>) => Question<T>): Inquiry<T> {
    return new Inquiry(topic, () => this.#asker, sent);
  }

  #ofStock<T extends { readonly brief: Brief }>(asked: T): T {
    return { ...asked, brief: this.#inStock(asked.brief) };
  }
}
