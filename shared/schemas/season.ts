// A season: the next batches with their briefs and brew days, and the lots they share, those on hand and those
// that can be bought. The document of the command line, the page and its worker alike.
import { onFirstUse, z } from '#shared/zod.ts';
import { briefSchema } from './brief.ts';
import { candidatesSchema } from './lot.ts';
import { NAME_MAX } from './sizes.ts';
import { SEASON_BATCHES_MAX, SEASON_MINIMISE } from './planned-season.ts';

const day = onFirstUse(() => z.iso.date());

export const seasonBatchSchema = onFirstUse(() =>
  z.strictObject({
    brew_on: day.check(z.describe('the brew day, like 2026-03-31')),
    /** Its `candidates` and `minimise` are passed over: those of the season count. */
    brief: briefSchema,
  }),
);
export type SeasonBatch = z.infer<typeof seasonBatchSchema>;

export const seasonSchema = onFirstUse(() =>
  z.strictObject({
    name: z._default(z.string().check(z.maxLength(NAME_MAX)), ''),
    /** The day on which the lots have the ages stated; the first brew day where absent. */
    as_of: z.optional(day.check(z.describe('the day on which the lots have the ages stated'))),
    minimise: z._default(z.enum(SEASON_MINIMISE), 'weight'),
    /** Lots with `grams_on_hand` are shared; others can be bought, whole packages where `package_g` says so. */
    candidates: candidatesSchema,
    batches: z
      .array(seasonBatchSchema)
      .check(
        z.minLength(1),
        z.maxLength(SEASON_BATCHES_MAX),
        z.describe('the batches, each with its brew_on and its brief'),
      ),
  }),
);
/** Batches that share lots. */
export type Season = z.infer<typeof seasonSchema>;
