// A brew: what was planned, what was really done, and what was measured, drawn from the stock and tasted
// since. Both plan and brew are whole schedules with the lots' figures of that time, so that a later
// change of the stock or the design does not change history, and either can be predicted as it stands.
import { COMPOUNDS } from '#shared/ids.ts';
import { above, count, figure, positive, rule } from '#shared/rules.ts';
import type { Grams, Litres, MicrogramsPerLitre } from '#shared/units.ts';
import { onFirstUse, z } from '#shared/zod.ts';
import { scheduleSchema } from './brief.ts';
import { BEER_L_MAX, DOSE_G_PER_L_MAX, NAME_MAX } from './sizes.ts';
import { noteSchema, recordId } from './record.ts';
import { tastingSchema } from './tasting.ts';

/** Most photos of a batch; their pixels lie in this browser only, not in the document. */
export const PHOTOS_MAX = 12;

const gravity = figure(0.98, 1.2);

/** What instruments said of the beer; what was not measured is left out. */
export const measuredSchema = onFirstUse(() =>
  z
    .strictObject({
      original_gravity_sg: z.optional(
        gravity.check(z.describe('the specific gravity before fermentation')),
      ),
      final_gravity_sg: z.optional(
        gravity.check(z.describe('the specific gravity after fermentation')),
      ),
      packaged_l: z.optional(positive<Litres>(BEER_L_MAX, 'the volume packaged, in L')),
      ibu: z.optional(figure(0, 1000, 'the bitterness, in IBU')),
      ph: z.optional(figure(2, 8, 'the pH of the beer')),
    })
    .check(
      z.refine(
        (m) => !above(m.final_gravity_sg, m.original_gravity_sg),
        rule(
          'the final gravity lies above the original one',
          'Correct original_gravity_sg or final_gravity_sg',
        ),
      ),
    ),
);
export type BeerMeasured = z.infer<typeof measuredSchema>;

/** A laboratory's figure of the beer. */
export const labFigureSchema = onFirstUse(() =>
  z.strictObject({
    compound: z.enum(COMPOUNDS).check(z.describe('the compound')),
    ug_per_l: figure<MicrogramsPerLitre>(0, 1e7, 'its concentration in the beer, in ug/L'),
    /** Standard deviation of the figure. */
    sd_ug_per_l: z.optional(figure<MicrogramsPerLitre>(0, 1e7, 'its standard deviation, in ug/L')),
  }),
);
export type LabFigure = z.infer<typeof labFigureSchema>;

/** Grams of a lot of the stock that went into the brew. */
export const drawnSchema = onFirstUse(() =>
  z.strictObject({
    lot: recordId.check(z.describe('the id of the lot')),
    grams: positive<Grams>(BEER_L_MAX * DOSE_G_PER_L_MAX, 'the grams taken from the lot'),
  }),
);
export type Drawn = z.infer<typeof drawnSchema>;

/** A triangle test: of three glasses two are of one batch, and who tastes picks the odd one out. */
export const triangleSchema = onFirstUse(() =>
  z
    .strictObject({
      against: recordId.check(z.describe('the id of the other batch')),
      tests: count(1, 1000, 'how often it was tasted'),
      right: count(0, 1000, 'how often the odd glass was found'),
    })
    .check(
      z.refine(
        ({ tests, right }) => !above(right, tests),
        rule('more are right than were tasted', 'Correct right or tests'),
      ),
    ),
);

/** What is known of a beer once it is brewed. @param tasting one tasting of it, as the document writes it. */
export const brewedFields = <Tasting extends z.core.$ZodType>(tasting: Tasting) => ({
  brewed: scheduleSchema.check(z.describe('the schedule as brewed')),
  measured: z._default(measuredSchema, {}),
  lab: z._default(
    z.array(labFigureSchema).check(z.maxLength(200), z.describe('the list of laboratory figures')),
    [],
  ),
  tastings: z._default(
    z.array(tasting).check(z.maxLength(1000), z.describe('the list of tastings')),
    [],
  ),
});

export const savedBatchSchema = onFirstUse(() =>
  z.strictObject({
    id: recordId,
    name: z.string().check(z.maxLength(NAME_MAX), z.describe('the name of the batch')),
    /** The design it came from; that may have changed since, or be gone. */
    design: z.optional(recordId.check(z.describe('the id of the design'))),
    brewed_on: z.optional(z.iso.date().check(z.describe('the brew day, like 2026-03-31'))),
    planned: scheduleSchema.check(z.describe('the schedule as planned')),
    /** As planned until something is entered. */
    ...brewedFields(tastingSchema),
    triangles: z.optional(
      z.array(triangleSchema).check(z.maxLength(200), z.describe('the list of triangle tests')),
    ),
    /** What was taken out of the stock for it; empty until it was. */
    drawn: z._default(
      z.array(drawnSchema).check(z.maxLength(500), z.describe('what was taken from the stock')),
      [],
    ),
    /** Steps of its brew sheet that are done, by their ids. */
    done: z._default(
      z
        .array(z.string().check(z.minLength(1), z.maxLength(100)))
        .check(z.maxLength(200), z.describe('the steps done')),
      [],
    ),
    photos: z._default(
      z.array(recordId).check(z.maxLength(PHOTOS_MAX), z.describe('the keys of its photos')),
      [],
    ),
    note: z._default(noteSchema, ''),
  }),
);
export type SavedBatch = z.infer<typeof savedBatchSchema>;
