// All questions about what is shown, one of each kind at a time: what each may use of the stock, and which end or
// are cleared when the blend or its brief changes.
import type { Save } from '#shared/schemas/asked.ts';
import { NO_KNOWLEDGE, type OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Offering } from '#state/stock/out-of-stock.ts';
import { POINT_WORTH_G_PER_L } from '#optimize/questions/options.ts';
import type { Question, Topic } from '#optimize/worker/protocol.ts';
import { Inquiry, type Asker } from './inquiry.svelte.ts';

/** Bans what is out of stock from what a question may use. */
export type InStock = <T extends Offering>(asked: T) => T;

/** Where replacements may come from: the lots a brief lists, the stock, the whole table. */
export type ReplacementSource = 'brief' | 'stock' | 'table';

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

  /** Questions about a blend and its brief, and those that would change the blend. */
  readonly #aboutBlend = [
    this.explain,
    this.whyNot,
    this.doubt,
    this.alternatives,
    this.hold,
    this.tradeoff,
  ] as const;
  readonly #insteadOfBlend = [this.swap, this.save] as const;

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
    const open = [...this.#aboutBlend, ...this.#insteadOfBlend, this.predict, this.replan];
    for (const inquiry of open) if (inquiry.working) inquiry.clear();
  }

  /**
   * Clears everything about a brief and its blends.
   * @param shown whether this includes what would replace the shown blend.
   */
  clear(shown = true): void {
    for (const inquiry of this.#aboutBlend) inquiry.clear();
    if (shown) for (const inquiry of this.#insteadOfBlend) inquiry.clear();
  }

  #of<T extends Topic>(topic: T, sent?: (question: Question<T>) => Question<T>): Inquiry<T> {
    return new Inquiry(topic, () => this.#asker, sent);
  }

  #ofStock<T extends { readonly brief: Brief }>(asked: T): T {
    return { ...asked, brief: this.#inStock(asked.brief) };
  }
}
