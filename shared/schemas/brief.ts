// What a person hands in: a brief to design from, a schedule to predict, a schedule to swap in.
// These are the documents of the command line, the app and its files alike; field names carry units.
// Limits on size are here once, so that every entrance refuses the same things.
import { z } from 'zod';
import { ANALYTES, AXES, FORMS, STAGES, TENDENCIES, YEASTS, type AnalyteId } from '../ids.ts';

/** Largest batch taken, L of beer. */
export const BEER_L_MAX = 1_000_000;
/** Largest dose of one addition taken, g per L of beer: beyond it the mash tun is all hops. */
export const DOSE_G_PER_L_MAX = 100;
/** Largest intensity an axis can be wished for; 6 is dominant. */
export const INTENSITY_MAX = 10;

const finite = z.number();
const name = z.string().trim().min(1).max(200);

/** Largest figure an analysis may state, by the unit its id ends in. */
function analyteMax(analyte: AnalyteId): number {
  if (analyte.endsWith('_pct') || analyte.includes('_pct_of_')) return 100;
  if (analyte === 'total_oil_ml_per_100g') return 20;
  if (analyte.endsWith('_ug_per_kg')) return 100_000;
  return 10_000;
}

const analysisFigures = Object.fromEntries(
  ANALYTES.map((a) => [a, finite.min(0).max(analyteMax(a)).optional()]),
) as Record<AnalyteId, z.ZodOptional<z.ZodNumber>>;

/** A lot's own analysis; each figure given replaces the table's for that lot. */
export const analysisSchema = z.strictObject({
  ...analysisFigures,
  /** Class of bound 3SH where no figure was measured. */
  precursor: z.enum(TENDENCIES).optional(),
});
export type Analysis = z.infer<typeof analysisSchema>;

export const batchSchema = z.strictObject({
  /** Volume of finished beer before dry-hop losses, L. */
  beer_l: finite.positive().max(BEER_L_MAX),
  yeast: z.enum(YEASTS),
  /** Malt per L of beer, g/L; its own thiol precursors count. */
  malt_g_per_l: finite.min(0).max(1000),
  /** Original gravity, specific gravity; kept with the brief, not used by the aroma equations. */
  gravity_sg: finite.min(0.99).max(1.2).optional(),
});
export type Batch = z.infer<typeof batchSchema>;

export const stagesSchema = z.strictObject({
  mash: z
    .strictObject({
      temp_c: finite.min(30).max(85),
      minutes: finite.min(0).max(600),
      boil_minutes: finite.min(0).max(300),
    })
    .optional(),
  hot_steep: z
    .strictObject({
      temp_c: finite.min(30).max(100),
      minutes: finite.min(0).max(240),
      closed: z.boolean().default(false),
    })
    .optional(),
  dry_hop: z
    .strictObject({
      temp_c: finite.min(-2).max(35),
      hours: finite.min(0).max(2000),
      mixed: z.boolean().default(false),
      live_yeast: z.boolean().default(false),
    })
    .optional(),
});
/** Conditions of the stages in use; a stage left out takes no hops. */
export type Stages = z.infer<typeof stagesSchema>;

const intensity = finite.min(0).max(INTENSITY_MAX);
/** What is wished of one axis, on the intensity scale (1 just noticeable, 4 strong, 6 dominant). */
export const wishSchema = z
  .strictObject({
    aim: intensity.optional(),
    within: finite.min(0).max(INTENSITY_MAX).optional(),
    at_least: intensity.optional(),
    at_most: intensity.optional(),
  })
  .refine((w) => w.aim !== undefined || w.at_least !== undefined || w.at_most !== undefined, {
    message: 'a wish needs an aim, an at_least or an at_most',
  })
  .refine((w) => (w.aim === undefined) === (w.within === undefined), {
    message: 'aim and within go together',
  })
  .refine((w) => w.at_least === undefined || w.at_most === undefined || w.at_least <= w.at_most, {
    message: 'at_least lies above at_most',
  });
export type Wish = z.infer<typeof wishSchema>;

export const targetSchema = z.partialRecord(z.enum(AXES), wishSchema);
export type Target = z.infer<typeof targetSchema>;

const grams = finite.min(0).max(BEER_L_MAX * DOSE_G_PER_L_MAX);
const money = finite.min(0).max(1e9);

export const limitsSchema = z.strictObject({
  ibu_at_most: finite.min(0).max(1000).optional(),
  ibu_at_least: finite.min(0).max(1000).optional(),
  /** Different hops (varieties), 1 or more. */
  hops_at_most: z.int().min(1).max(50).optional(),
  /** Leaf of hot steep and dry hop, g of type 90 equivalent per L. */
  leaf_g_per_l_after_mash_at_most: finite.min(0).max(DOSE_G_PER_L_MAX).optional(),
  /** Least grams of one lot at one stage, if used there at all. */
  smallest_addition_g: grams.optional(),
  /** Additions come in whole multiples of this, g (7.0874 for a quarter ounce). */
  weigh_step_g: finite.positive().max(1e6).optional(),
  cost_at_most: money.optional(),
  /** Largest total dose per stage, g/L. */
  stage_at_most_g_per_l: z
    .partialRecord(z.enum(STAGES), finite.min(0).max(DOSE_G_PER_L_MAX))
    .optional(),
  /** Hops never used, by name. */
  ban: z.array(name).max(500).default([]),
  /** Hops used in any case, by name. */
  require: z.array(name).max(50).default([]),
});
export type Limits = z.infer<typeof limitsSchema>;

export const candidateSchema = z.strictObject({
  hop: name,
  form: z.enum(FORMS),
  grams_on_hand: grams.optional(),
  price_per_kg: money.optional(),
  analysis: analysisSchema.optional(),
});
/** A lot that may be used: from stock or on sale. */
export type Candidate = z.infer<typeof candidateSchema>;

export const additionSchema = z.strictObject({
  hop: name,
  form: z.enum(FORMS),
  stage: z.enum(STAGES),
  grams,
  price_per_kg: money.optional(),
  analysis: analysisSchema.optional(),
});
/** Grams of one lot at one stage. */
export type Addition = z.infer<typeof additionSchema>;

export const MINIMISE = ['weight', 'cost', 'leaf'] as const;
export type Minimise = (typeof MINIMISE)[number];

const documentFields = {
  name: z.string().max(200).default(''),
  batch: batchSchema,
  stages: stagesSchema,
};

export const briefSchema = z.strictObject({
  ...documentFields,
  target: targetSchema,
  limits: limitsSchema.default({ ban: [], require: [] }),
  minimise: z.enum(MINIMISE).default('weight'),
  /** `table`: every offered variety of the hop table in its usual forms. */
  candidates: z.union([z.literal('table'), z.array(candidateSchema).min(1).max(5000)]),
});
/** A brief to design a blend from. */
export type Brief = z.infer<typeof briefSchema>;

export const scheduleSchema = z.strictObject({
  ...documentFields,
  additions: z.array(additionSchema).max(500),
});
/** A hop schedule to predict. */
export type Schedule = z.infer<typeof scheduleSchema>;
