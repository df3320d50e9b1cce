// What the screen's thread and the search's thread say to each other. Every request carries an id
// and gets exactly one closing reply with that id, also when it fails or is overtaken.
import type { DesignAnswer } from '#shared/answer.ts';
import type { Problem } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { DesignOptions, DesignProgress } from './contract.ts';
import type { Evidence } from './evidence.ts';

/** An answer with what its figures rest on. */
export interface Designed {
  readonly answer: DesignAnswer;
  /** One per blend of the answer. */
  readonly evidence: readonly Evidence[];
}

export type Request =
  | {
      readonly kind: 'design';
      readonly id: number;
      readonly brief: Brief;
      readonly options: DesignOptions;
    }
  /** Ends the search of that id with the best blend so far. */
  | { readonly kind: 'stop'; readonly id: number };

export type Reply =
  | { readonly kind: 'progress'; readonly id: number; readonly progress: DesignProgress }
  | { readonly kind: 'answer'; readonly id: number; readonly designed: Designed }
  /** The brief cannot be designed from; says why and what to change. */
  | { readonly kind: 'refused'; readonly id: number; readonly problems: readonly Problem[] }
  /** Something broke that no brief should break. */
  | { readonly kind: 'failed'; readonly id: number; readonly reason: string }
  /** A newer request came before this one was done. */
  | { readonly kind: 'overtaken'; readonly id: number };
