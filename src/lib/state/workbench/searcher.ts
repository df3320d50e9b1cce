// Who searches for the workbench, and what may come of it in place of an answer.
import type { Problem } from '#shared/outcome.ts';
import type { OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Brief } from '#shared/schemas/brief.ts';

export interface Searcher {
  design(brief: Brief): void;
  /** Asks for the blend to show while wishes are dragged; gives up the search. */
  live(brief: Brief, hops: readonly string[]): void;
  /** Gets ready for wishes of this brief to be dragged. */
  ready(brief: Brief, hops: readonly string[]): void;
  /** From here on everything is asked of the model with what a person brings to it. */
  teach(knowledge: OwnKnowledge): void;
  stop(): void;
}

export type Trouble =
  | { readonly kind: 'refused'; readonly problems: readonly Problem[] }
  | { readonly kind: 'failed'; readonly reason: string }
  /** Stopped by the user before any blend was found. */
  | { readonly kind: 'stopped' };
