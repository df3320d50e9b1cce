// What a taster wrote down of one glass: the notes on the scale of the radar. A batch keeps its tastings.
import { AXES } from '#shared/ids.ts';
import { finite } from '#shared/rules.ts';
import { z } from '#shared/zod.ts';

/** The strongest score of a note; 0 is none. */
export const SCORE_MAX = 7;

export const tastingSchema = z.strictObject({
  taster: z.string().trim().min(1).max(40).describe('who tasted; initials are enough'),
  /** Place of the glass among those of its session, the first is 1. */
  order: z.int().min(1).max(1000).describe('the place of the glass in its session, from 1'),
  /** What stood on the glass. */
  sample: z.string().max(40).describe('the code on the glass').optional(),
  tasted_on: z.iso.date().describe('the day of the tasting, like 2026-03-31').optional(),
  /** Axes nobody scored are left out: missing is not zero. */
  scores: z
    .partialRecord(
      z.enum(AXES),
      finite.min(0).max(SCORE_MAX).describe(`a score from 0 to ${SCORE_MAX}`),
    )
    .describe('the scores by aroma axis, like "citrus": 3'),
});
export type Tasting = z.infer<typeof tastingSchema>;
