// The one model that everything uses: the published tables, a person's own tables laid over them, and what was
// learned from tastings about both.
import type { OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Model } from '#engine/tables/model.ts';
import { ownModel } from '#engine/tables/own.ts';
import { learnedModel } from './learned.ts';

/** The model for this knowledge; the same object for the same knowledge, as long as it is in use. */
export function knownModel(published: Model, { own, learned }: OwnKnowledge): Model {
  return learnedModel(ownModel(published, own).model, learned);
}
