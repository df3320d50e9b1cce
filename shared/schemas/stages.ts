// The stages of a document: where hops may go in, under which conditions, and in which order they happen.
import { STAGES, type StageId } from '#shared/ids.ts';
import { z } from '#shared/zod.ts';
import { above, finite, rule } from './rules.ts';

/** How wort cools after the rest of a hot steep, the hops still in it. */
export const coolingSchema = z
  .strictObject({
    to_c: finite.min(0).max(99).describe('the temperature at the end of the cooling, in C'),
    minutes: finite.positive().max(600).describe('the length of the cooling in minutes'),
  })
  .describe('how the wort cools after the rest, hops still in it');
export type Cooling = z.infer<typeof coolingSchema>;

export const stagesSchema = z
  .strictObject({
    mash: z
      .strictObject({
        temp_c: finite.min(30).max(85).describe('the mash temperature in C'),
        minutes: finite.min(0).max(600).describe('the length of the mash in minutes'),
        boil_minutes: finite
          .min(0)
          .max(300)
          .describe('the length of the boil that follows the mash, in minutes'),
      })
      .optional(),
    boil: z
      .strictObject({
        minutes: finite.min(0).max(300).describe('the minutes before the end of the boil'),
      })
      .optional(),
    hot_steep: z
      .strictObject({
        temp_c: finite.min(30).max(100).describe('the steep temperature in C'),
        minutes: finite.min(0).max(240).describe('the length of the steep in minutes'),
        closed: z
          .boolean()
          .describe('whether the steep is closed, so that no vapour leaves')
          .default(false),
        /** Left out: the hops leave the heat, or the wort is chilled at once. */
        cooling: coolingSchema.optional(),
      })
      .refine(
        (s) => !s.cooling || above(s.temp_c, s.cooling.to_c),
        rule(
          'the cooling does not end below the steep temperature',
          'Lower cooling.to_c, or leave cooling out',
        ),
      )
      .optional(),
    dry_hop: z
      .strictObject({
        temp_c: finite.min(-2).max(35).describe('the dry-hop temperature in C'),
        hours: finite.min(0).max(2000).describe('the contact time in hours'),
        mixed: z.boolean().describe('whether the hops are kept in motion').default(false),
        live_yeast: z.boolean().describe('whether live yeast is still at work').default(false),
      })
      .optional(),
  })
  .describe('the conditions of the stages in use: mash, boil, hot_steep, dry_hop');
/** Conditions of the stages in use; a stage left out takes no hops. */
export type Stages = z.infer<typeof stagesSchema>;

/** A stage in use: its key in the document, its kind, its conditions. */
export type StageUse<K extends StageId = StageId> = {
  readonly [Kind in K]: {
    readonly key: string;
    readonly kind: Kind;
    readonly conditions: NonNullable<Stages[Kind]>;
  };
}[K];

/** The stages of a document in the order they happen. */
export function stagesOf(stages: Stages): StageUse[] {
  return STAGES.flatMap((kind) => {
    const conditions = stages[kind];
    return conditions ? [{ key: kind, kind, conditions } as StageUse] : [];
  });
}
