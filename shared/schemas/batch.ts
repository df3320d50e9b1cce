// A brew: what was planned, what was really done, and what was measured, drawn from the stock and tasted
// since. Both plan and brew are whole schedules with the lots' figures of that time, so that a later
// change of the stock or the design does not change history, and either can be predicted as it stands.
import { COMPOUNDS } from '#shared/ids.ts';
import { above, finite, rule } from '#shared/rules.ts';
import { z } from '#shared/zod.ts';
import { BEER_L_MAX, DOSE_G_PER_L_MAX, NAME_MAX, scheduleSchema } from './brief.ts';
import { noteSchema, recordId } from './record.ts';
import { tastingSchema } from './tasting.ts';

/** Most photos of a batch; their pixels lie in this browser only, not in the document. */
export const PHOTOS_MAX = 12;

const gravity = finite.min(0.98).max(1.2);

/** What instruments said of the beer; what was not measured is left out. */
export const measuredSchema = z
  .strictObject({
    original_gravity_sg: gravity.describe('the specific gravity before fermentation').optional(),
    final_gravity_sg: gravity.describe('the specific gravity after fermentation').optional(),
    packaged_l: finite.positive().max(BEER_L_MAX).describe('the volume packaged, in L').optional(),
    ibu: finite.min(0).max(1000).describe('the bitterness, in IBU').optional(),
    ph: finite.min(2).max(8).describe('the pH of the beer').optional(),
  })
  .refine(
    (m) => !above(m.final_gravity_sg, m.original_gravity_sg),
    rule(
      'the final gravity lies above the original one',
      'Correct original_gravity_sg or final_gravity_sg',
    ),
  );
export type BeerMeasured = z.infer<typeof measuredSchema>;

/** A laboratory's figure of the beer. */
export const labFigureSchema = z.strictObject({
  compound: z.enum(COMPOUNDS).describe('the compound'),
  ug_per_l: finite.min(0).max(1e7).describe('its concentration in the beer, in ug/L'),
  /** Standard deviation of the figure. */
  sd_ug_per_l: finite.min(0).max(1e7).describe('its standard deviation, in ug/L').optional(),
});
export type LabFigure = z.infer<typeof labFigureSchema>;

/** Grams of a lot of the stock that went into the brew. */
export const drawnSchema = z.strictObject({
  lot: recordId.describe('the id of the lot'),
  grams: finite
    .positive()
    .max(BEER_L_MAX * DOSE_G_PER_L_MAX)
    .describe('the grams taken from the lot'),
});
export type Drawn = z.infer<typeof drawnSchema>;

export const savedBatchSchema = z.strictObject({
  id: recordId,
  name: z.string().max(NAME_MAX).describe('the name of the batch'),
  /** The design it came from; that may have changed since, or be gone. */
  design: recordId.describe('the id of the design').optional(),
  brewed_on: z.iso.date().describe('the brew day, like 2026-03-31').optional(),
  planned: scheduleSchema.describe('the schedule as planned'),
  /** As planned until something is entered. */
  brewed: scheduleSchema.describe('the schedule as brewed'),
  measured: measuredSchema.default({}),
  lab: z.array(labFigureSchema).max(200).describe('the list of laboratory figures').default([]),
  tastings: z.array(tastingSchema).max(1000).describe('the list of tastings').default([]),
  /** What was taken out of the stock for it; empty until it was. */
  drawn: z.array(drawnSchema).max(500).describe('what was taken from the stock').default([]),
  /** Steps of its brew sheet that are done, by their ids. */
  done: z.array(z.string().min(1).max(100)).max(200).describe('the steps done').default([]),
  photos: z.array(recordId).max(PHOTOS_MAX).describe('the keys of its photos').default([]),
  note: noteSchema.default(''),
});
export type SavedBatch = z.infer<typeof savedBatchSchema>;
