// Which designs a person means to brew next, and on which day: kept in the workspace. What is asked of the
// search (season.ts) is made of it, of the designs and of the lots.
import { onFirstUse, z } from '#shared/zod.ts';
import { recordId } from './record.ts';

/** Most batches planned together. */
export const SEASON_BATCHES_MAX = 24;

export const SEASON_MINIMISE = ['weight', 'cost'] as const;
export type SeasonMinimise = (typeof SEASON_MINIMISE)[number];

export const plannedSeasonSchema = onFirstUse(() =>
  z.strictObject({
    minimise: z._default(z.enum(SEASON_MINIMISE), 'weight'),
    /** Whether any hop of the table can be bought, by the gram. */
    buys_any: z._default(z.boolean(), false),
    /** Ids of designs that no longer exist are passed over. */
    brews: z.array(z.strictObject({ design: recordId, on: z.iso.date() })).check(
      z.maxLength(SEASON_BATCHES_MAX),
      z.refine(
        (brews) => new Set(brews.map(({ design }) => design)).size === brews.length,
        'a design is planned twice',
      ),
      z.describe('the designs to brew, each with its day'),
    ),
  }),
);
/** The season as it is chosen. */
export type PlannedSeason = z.infer<typeof plannedSeasonSchema>;
