// Batches with what was tasted and measured of them, as a document of its own: what the command line
// learns from. A batch of a workspace is such a batch.
import { onFirstUse, z } from '#shared/zod.ts';
import { count } from '#shared/rules.ts';
import { brewedFields } from './batch.ts';
import { NAME_MAX } from './sizes.ts';
import { recordId } from './record.ts';
import { tastingSchema } from './tasting.ts';

/** Most batches taken of a file: a fit of more would take minutes. */
export const BATCHES_TO_LEARN_MAX = 60;

const tastingGivenSchema = onFirstUse(() =>
  z.extend(tastingSchema, {
    order: z.optional(count(1, 1000, 'the place of the glass in its session, from 1')),
  }),
);

const brewSchema = onFirstUse(() =>
  z.strictObject({
    id: recordId.check(z.describe('the id of the batch')),
    name: z._default(z.string().check(z.maxLength(NAME_MAX)), ''),
    ...brewedFields(tastingGivenSchema),
  }),
);
/** A batch as far as it can be learned from. */
export type TastedBrew = z.infer<typeof brewSchema>;

export const tastingsSchema = onFirstUse(() =>
  z.strictObject({
    batches: z
      .array(brewSchema)
      .check(
        z.minLength(1),
        z.maxLength(BATCHES_TO_LEARN_MAX),
        z.describe('the list of batches, each with what was brewed and its tastings'),
      ),
  }),
);
