// What is asked of a schedule: a hop of it replaced, or the whole made cheaper or lighter.
import { onFirstUse, z } from '#shared/zod.ts';
import { figure, positive } from '#shared/rules.ts';
import { limitsSchema, scheduleSchema } from './brief.ts';
import { candidatesSchema, hopName } from './lot.ts';

const ownLimits = onFirstUse(() => z._default(limitsSchema, { ban: [], require: [] }));

export const swapSchema = onFirstUse(() =>
  z.safeExtend(scheduleSchema, {
    replace: hopName.check(z.describe('the name of the hop to replace')),
    candidates: candidatesSchema,
    /** The limits count the whole beer; smallest addition, weighing step and count of hops only the new lines. */
    limits: ownLimits,
  }),
);
/** A schedule in which one hop is to be replaced. */
export type Swap = z.infer<typeof swapSchema>;

/** Largest price of a litre of beer taken. */
export const BEER_PRICE_PER_L_MAX = 1e6;
/** Most of the cost that a saving may be asked to reach. */
export const SAVING_MAX = 0.99;

export const saveSchema = onFirstUse(() =>
  z.safeExtend(scheduleSchema, {
    /** Lots to choose from beside the schedule's own. */
    candidates: z.optional(candidatesSchema),
    limits: ownLimits,
    /** Just noticeable difference to keep, as a fraction of concentration; 0.25 where absent. */
    just_noticeable: z.optional(
      figure(
        0,
        5,
        'the change in concentration that nobody should notice, as a fraction like 0.25',
      ),
    ),
    /** What a litre of the beer is worth: what the hops hold back then counts as cost. */
    beer_price_per_l: z.optional(
      figure(0, BEER_PRICE_PER_L_MAX, 'what a litre of the beer is worth'),
    ),
    /** Part of the cost to save at least; where it is not reached, what would reach it is sought. */
    save_at_least: z.optional(
      positive(SAVING_MAX, 'the part of the cost to save, as a fraction like 0.15'),
    ),
  }),
);
/** A schedule to make cheaper or lighter without anybody noticing. */
export type Save = z.infer<typeof saveSchema>;
