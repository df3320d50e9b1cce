// The stages of a document in the order they happen: each under the name it has there, with its kind and
// its conditions.
import { STAGES, type StageId } from './ids.ts';
import type { Stages } from './schemas/brief.ts';

/** A stage in use: its key in the document, its kind, its conditions. */
export type StageUse<K extends StageId = StageId> = {
  readonly [Kind in K]: {
    readonly key: string;
    readonly kind: Kind;
    readonly conditions: NonNullable<Stages[Kind]>;
  };
}[K];

/** The stages of a document in the order they happen. */
export function stagesOf(stages: Stages): StageUse[] {
  return STAGES.flatMap((kind) => {
    const conditions = stages[kind];
    return conditions ? [{ key: kind, kind, conditions } as StageUse] : [];
  });
}
