// What a brewer's own tastings and lab figures taught of the model: a dated value that can be kept,
// exported, switched off and taken back. The engine applies it (engine/doubt/learned.ts).
import { count, figure, positive } from '#shared/rules.ts';
import { onFirstUse, z } from '#shared/zod.ts';

/** Most pieces of evidence, unknowns and directions taken: a fit gives far fewer. */
const EVIDENCE_MAX = 500;
const UNKNOWNS_MAX = 5000;
const DIRECTIONS_MAX = 200;
/** Largest size of a normal score: beyond it figures no longer differ. */
export const LEARNED_SCORE_MAX = 8;

const name = z.string().check(z.minLength(1), z.maxLength(200));

const learnedFigureSchema = onFirstUse(() =>
  z.strictObject({
    /** What its middle is multiplied by. */
    factor: positive(1e9, 'what the middle is multiplied by'),
    /** What is left of its doubt, as standard deviation of its natural logarithm. */
    sd_log: figure(0, 1e9, 'the doubt that is left, as a standard deviation of the logarithm'),
    /**
     * Where its middle now lies on the published range, as a standard normal score; absent for a figure that is not
     * drawn.
     */
    score: z.optional(
      figure(-LEARNED_SCORE_MAX, LEARNED_SCORE_MAX, 'where the middle lies on the published range'),
    ),
    /** By direction, what the evidence took of its doubt: scores covary as 1 less the products of these. */
    joint: z.optional(
      z
        .array(figure(-1, 1))
        .check(z.maxLength(DIRECTIONS_MAX), z.describe('what the evidence took of its doubt')),
    ),
  }),
);
export type LearnedFigure = z.infer<typeof learnedFigureSchema>;

const learnedTasterSchema = onFirstUse(() =>
  z.strictObject({
    /** Points the taster scores above what the beer is. */
    bias: figure(-100, 100, 'the points scored too high'),
    bias_sd: figure(0, 100, 'how sure that is, in points'),
    /** Points by which a score scatters. */
    noise: positive(100, 'the points by which a score scatters'),
  }),
);

export const learnedSchema = onFirstUse(() =>
  z
    .strictObject({
      /** Counts up with each learning. */
      version: count(1, 1e9, 'the number of this learning'),
      made: z.iso.datetime().check(z.describe('when it was learned, like 2026-03-31T10:00:00Z')),
      /** Ids of the batches it was learned from. */
      from: z
        .array(name)
        .check(
          z.minLength(1),
          z.maxLength(EVIDENCE_MAX),
          z.describe('the ids of the batches it was learned from'),
        ),
      /** By the id of the figure: `parameter/…`, `threshold/…`, `weight/…`, `cell/…/reported/…`. */
      parameters: z.record(name, learnedFigureSchema).check(
        z.refine((all) => Object.keys(all).length <= UNKNOWNS_MAX, 'too many figures'),
        z.describe('what was learned, by the id of the figure'),
      ),
      tasters: z
        .record(name, learnedTasterSchema)
        .check(z.describe('what was learned of the tasters')),
    })
    .check(z.describe('what tastings taught')),
);
export type Learned = z.infer<typeof learnedSchema>;

/** What was learned as a person keeps it: in use, or switched off. */
export const keptLearningSchema = onFirstUse(() =>
  z.strictObject({
    in_use: z.boolean().check(z.describe('whether what was learned counts')),
    learned: learnedSchema,
  }),
);
export type KeptLearning = z.infer<typeof keptLearningSchema>;
