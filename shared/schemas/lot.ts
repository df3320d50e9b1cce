// A hop lot as documents state it: its own analysis, how it was kept, and the lot as one that may be used or as an
// addition at a stage. Descriptions are what a person is told when a field is missing (shared/reading/check.ts).
import type { Celsius, Grams, Months, UnitOf } from '#shared/units.ts';
import { onFirstUse, z } from '#shared/zod.ts';
import { ANALYTES, FORMS, OIL_COMPOUNDS, TENDENCIES, type AnalyteId } from '#shared/ids.ts';
import { above, count, figure, rule, type FigureIn } from '#shared/rules.ts';
import { stageKeySchema } from '#shared/stages/stages.ts';
import {
  HARVEST_YEAR_MIN,
  HARVEST_YEAR_MAX,
  BEER_L_MAX,
  DOSE_G_PER_L_MAX,
  PACKAGE_G_MIN,
  NAME_MAX,
} from './sizes.ts';

export const hopName = z
  .string()
  .check(
    z.trim(),
    z.minLength(1),
    z.maxLength(NAME_MAX),
    z.describe('the name of the hop variety'),
  );

/** A weight of hops. */
export const gramsSchema = figure<Grams>(0, BEER_L_MAX * DOSE_G_PER_L_MAX, 'the weight in g');
/** An amount of money, in whatever currency. */
export const moneySchema = figure(0, 1e9);
const form = z.enum(FORMS).check(z.describe('the form of the hop'));
/** Forms that hops may come in. */
export const formsSchema = z.array(form).check(z.minLength(1), z.maxLength(FORMS.length));

/** Largest figure an analysis may state, by the unit its id ends in. */
function analyteMax(analyte: AnalyteId): number {
  if (analyte.endsWith('_pct') || analyte.includes('_pct_of_')) return 100;
  if (analyte === 'total_oil_ml_per_100g') return 20;
  if (analyte.endsWith('_ug_per_kg')) return 100_000;
  return 10_000;
}

const analysisFigures = () =>
  Object.fromEntries(ANALYTES.map((a) => [a, z.optional(figure(0, analyteMax(a)))])) as {
    [Analyte in AnalyteId]: z.ZodMiniOptional<FigureIn<UnitOf<Analyte>>>;
  };

/** What the parts of an oil may add up to, % of oil. */
export const WHOLE_OIL_PCT = 100;
/** What 1 mL of oil weighs at least, g: as much as myrcene, the lightest of its main parts. */
const OIL_G_PER_ML_MIN = 0.79;

/** A lot's own analysis; each figure given replaces the table's for that lot. */
export const analysisSchema = onFirstUse(() =>
  z
    .strictObject({
      ...analysisFigures(),
      /** Class of bound 3SH where no figure was measured. */
      precursor: z.optional(z.enum(TENDENCIES)),
    })
    .check(
      z.refine(
        (a) => !above(sumOf(OIL_COMPOUNDS.map((c) => a[`${c}_pct_of_oil`])), WHOLE_OIL_PCT),
        rule(
          'the parts of the oil add up to more than 100 %',
          'Correct the figures in % of oil: together they cannot exceed 100',
        ),
      ),
      z.refine(
        ({ alpha_pct: alpha = 0, beta_pct: beta = 0, total_oil_ml_per_100g: oil = 0 }) =>
          // A figure that is above 100 alone is reported by itself.
          alpha > 100 || beta > 100 || !above(sumOf([alpha, beta, oil * OIL_G_PER_ML_MIN]), 100),
        rule(
          'alpha acids, beta acids and oil weigh more than the hop they are part of',
          'Correct alpha_pct, beta_pct or total_oil_ml_per_100g: one of them may lack its decimal point',
        ),
      ),
    ),
);
export type Analysis = z.infer<typeof analysisSchema>;

/** Sum of the figures that are given. */
function sumOf(figures: readonly unknown[]): number {
  return figures.reduce<number>((sum, f) => sum + (typeof f === 'number' ? f : 0), 0);
}

/** How hops are packed against air: sealed in barrier foil under inert gas or vacuum, or not. */
export const PACKINGS = ['sealed', 'opened'] as const;
export type Packing = (typeof PACKINGS)[number];

/**
 * How a lot was kept. Table figures are of the harvest and age by `storage_index` where it is
 * given, else by `months`. Figures of the lot's own analysis count as of today, and age only by
 * `months_since_analysis`.
 */
export const storageSchema = onFirstUse(() =>
  z
    .strictObject({
      months: z.optional(figure<Months>(0, 120, 'the age since harvest in months')),
      temp_c: z.optional(figure<Celsius>(-40, 50, 'the temperature it was kept at, in C')),
      packed: z.optional(z.enum(PACKINGS).check(z.describe('how it is packed: sealed or opened'))),
      /** Hop storage index, A275/A325; about 0.25 when fresh. */
      storage_index: z.optional(figure(0.1, 2, 'the hop storage index')),
      months_since_analysis: z.optional(
        figure<Months>(0, 120, 'the age of its analysis in months'),
      ),
    })
    .check(
      z.refine(
        (s) => s.months !== undefined || s.storage_index !== undefined || s.months_since_analysis,
        rule('no age is given', 'Give months, storage_index or months_since_analysis'),
      ),
      z.refine(
        (s) =>
          (!s.months && !s.months_since_analysis) ||
          (s.temp_c !== undefined && s.packed !== undefined) ||
          (s.storage_index !== undefined && !s.months_since_analysis),
        rule(
          'an age in months needs the temperature and the packing',
          'Give temp_c and packed, like "temp_c": 4, "packed": "sealed"',
        ),
      ),
    ),
);
/** How a lot was kept, and for how long. */
export type Storage = z.infer<typeof storageSchema>;

const packageG = figure<Grams>(
  PACKAGE_G_MIN,
  BEER_L_MAX * DOSE_G_PER_L_MAX,
  'the weight of one package in g',
);

export const candidateSchema = onFirstUse(() =>
  z
    .strictObject({
      hop: hopName,
      form,
      grams_on_hand: z.optional(gramsSchema),
      price_per_kg: z.optional(moneySchema),
      /** To be bought, in whole packages of this many grams; what is left of one is paid for too. */
      package_g: z.optional(packageG),
      /** Kept with the lot, not used by the equations: `storage` gives its age. */
      harvest_year: z.optional(count(HARVEST_YEAR_MIN, HARVEST_YEAR_MAX)),
      analysis: z.optional(analysisSchema),
      storage: z.optional(storageSchema),
    })
    .check(
      z.refine(
        (c) => c.package_g === undefined || c.grams_on_hand === undefined,
        rule(
          'a lot is on hand or to be bought in packages, not both',
          'List what is on hand as a lot of its own, without package_g; price_per_kg 0 if it is paid for',
        ),
      ),
    ),
);
/** A lot that may be used: from stock or on sale. */
export type Candidate = z.infer<typeof candidateSchema>;

/** `table`: every offered variety of the hop table in its usual forms. */
export const candidatesSchema = onFirstUse(() =>
  z
    .union([z.literal('table'), z.array(candidateSchema).check(z.minLength(1), z.maxLength(5000))])
    .check(z.describe('"table" for the hop table, or a list of lots')),
);

export const additionSchema = onFirstUse(() =>
  z.strictObject({
    hop: hopName,
    form,
    stage: stageKeySchema,
    grams: gramsSchema,
    price_per_kg: z.optional(moneySchema),
    /** Bought in whole packages of this many grams. */
    package_g: z.optional(packageG),
    analysis: z.optional(analysisSchema),
    storage: z.optional(storageSchema),
  }),
);
/** Grams of one lot at one stage. */
export type Addition = z.infer<typeof additionSchema>;
