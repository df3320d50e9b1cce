// What a taster wrote down of one glass: the notes on the scale of the radar. A batch keeps its tastings.
import { AXES } from '#shared/ids.ts';
import { count, figure } from '#shared/rules.ts';
import { onFirstUse, z } from '#shared/zod.ts';

/** The strongest score of a note; 0 is none. */
export const SCORE_MAX = 7;

export const tastingSchema = onFirstUse(() =>
  z.strictObject({
    taster: z
      .string()
      .check(
        z.trim(),
        z.minLength(1),
        z.maxLength(40),
        z.describe('who tasted; initials are enough'),
      ),
    /** Place of the glass among those of its session, the first is 1. */
    order: count(1, 1000, 'the place of the glass in its session, from 1'),
    /** What stood on the glass. */
    sample: z.optional(z.string().check(z.maxLength(40), z.describe('the code on the glass'))),
    tasted_on: z.optional(
      z.iso.date().check(z.describe('the day of the tasting, like 2026-03-31')),
    ),
    /** Axes nobody scored are left out: missing is not zero. */
    scores: z
      .partialRecord(z.enum(AXES), figure(0, SCORE_MAX, `a score from 0 to ${SCORE_MAX}`))
      .check(z.describe('the scores by aroma axis, like "citrus": 3')),
  }),
);
export type Tasting = z.infer<typeof tastingSchema>;
