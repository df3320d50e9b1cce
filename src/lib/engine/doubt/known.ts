// The one model that everything is asked of: the published tables, a person's own laid over them, and what
// tastings taught of both.
import type { OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Model } from '#engine/tables/model.ts';
import { ownModel } from '#engine/tables/own.ts';
import { learnedModel } from './learned.ts';

/** The same model for the same knowledge, as long as it is in use. */
export function knownModel(published: Model, { own, learned }: OwnKnowledge): Model {
  return learnedModel(ownModel(published, own).model, learned);
}
