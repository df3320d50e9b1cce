// What a person brings to the published model: tables of their own, and what their tastings taught. Whoever
// asks the model is handed both; the engine makes one model of them (engine/doubt/known.ts).
import type { Learned } from './learned.ts';
import type { OwnTables } from './own-tables.ts';

export interface OwnKnowledge {
  readonly own: OwnTables | null;
  readonly learned: Learned | null;
}

/** The published model alone. */
export const NO_KNOWLEDGE: OwnKnowledge = { own: null, learned: null };

/** Whether two of them are equal: then an answer given by one holds for the other. */
export function sameKnowledge(a: OwnKnowledge, b: OwnKnowledge): boolean {
  return a.own === b.own && a.learned === b.learned;
}
