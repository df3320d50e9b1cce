// The interface of the search as the workbench uses it, and the outcomes other than an answer.
import type { Problem } from '#shared/outcome.ts';
import type { OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Brief } from '#shared/schemas/brief.ts';

export interface Searcher {
  design(brief: Brief): void;
  /** Asks for the blend to show while wishes are dragged; gives up a running search. */
  live(brief: Brief, hops: readonly string[]): void;
  /** Prepares for wishes of this brief to be dragged; `slowly` leaves most of the time to others. */
  ready(brief: Brief, hops: readonly string[], slowly: boolean): void;
  /** Sets what a person adds to the model; it counts for every later question. */
  teach(knowledge: OwnKnowledge): void;
  stop(): void;
}

export type Trouble =
  | { readonly kind: 'refused'; readonly problems: readonly Problem[] }
  | { readonly kind: 'failed'; readonly reason: string }
  /** The person stopped the search before any blend was found. */
  | { readonly kind: 'stopped' };
