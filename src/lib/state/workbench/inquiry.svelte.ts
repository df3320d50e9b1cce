// One kind of question and what is known of its answer: idle, at work, answered, refused, failed.
// A newer question overtakes the one before; what no longer fits what is shown is cleared.
import type { Problem } from '#shared/outcome.ts';
import type { Save } from '#shared/schemas/asked.ts';
import { NO_KNOWLEDGE, type OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Offering } from '#state/stock/stock.ts';
import { POINT_WORTH_G_PER_L } from '#optimize/questions/options.ts';
import type { QuestionListener } from '#optimize/worker/asking.ts';
import type { Finding, Question, Step, Topic } from '#optimize/worker/protocol.ts';

/** Who answers; handed in, so that this runs without a thread. */
export interface Asker {
  ask<T extends Topic>(topic: T, question: Question<T>, listener: QuestionListener<T>): void;
  stop(topic: Topic): void;
  forget(topic: Topic): void;
  /** From here on everything is asked of the model with what a person brings to it. */
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

  /** @param sent what is asked in place of a question: the same, of what is in stock alone. */
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
  /** What was asked last; `null` while idle. */
  get question(): Question<T> | null {
    return this.#question;
  }
  get working(): boolean {
    return this.#stand.state === 'working';
  }
  get finding(): Finding<T> | null {
    return this.#stand.state === 'found' ? this.#stand.finding : null;
  }
  /** The newest report on the way. */
  get step(): Step<T> | null {
    return this.#stand.state === 'working' ? this.#stand.step : null;
  }

  /** @param heard called with what is heard of this question, each time. */
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

  /** Ends the question with what is found so far. */
  stop(): void {
    if (this.working) this.#asker()?.stop(this.#topic);
  }

  /** Forgets question and answer. */
  clear(): void {
    if (this.working) this.#asker()?.forget(this.#topic);
    this.#question = null;
    this.#stand = { state: 'idle' };
  }
}

/** Takes what is out of stock off what may be used. */
export type InStock = <T extends Offering>(asked: T) => T;

/** Where replacements may come from: the lots a brief lists, the stock, the whole table. */
export type ReplacementSource = 'brief' | 'stock' | 'table';

/** All that can be asked about what is shown, one question of each kind at a time. */
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
  /** Of a brief without what is out of stock; stands as long as only the share of lots asked for changes. */
  readonly chances = this.#of('chances');
  readonly swap = this.#of('swap', (swap) => this.#inStock(swap));
  readonly save = this.#of('save', (save) => this.#inStock(save));
  readonly predict = this.#of('predict');
  readonly along = this.#of('along');
  readonly replan = this.#of('replan', (asked) => this.#ofStock(asked));
  readonly learn = this.#of('learn');
  readonly beside = this.#of('beside');
  readonly reach = this.#of('reach', (brief) => this.#inStock(brief));

  /** Where the replacements last asked for come from. */
  replacementsFrom = $state.raw<ReplacementSource>('table');

  /** Hops that a point of miss is worth where the rest is designed anew, g/L; kept while the page is open. */
  pointWorth = $state(POINT_WORTH_G_PER_L);

  /** What a saving is to reach, and what a litre of beer counts for; kept while the page is open. */
  savingAim = $state.raw<Pick<Save, 'save_at_least' | 'beer_price_per_l'>>({});

  /** @param inStock takes what is out of stock off what may be used. */
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

  /** Drops what is at work on a blend that is about to change, so that nothing works for nobody. */
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
   * Clears all that was about a brief and its blends.
   * @param shown whether the blend shown goes as well, and with it what would take its place.
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
