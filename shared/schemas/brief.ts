// What a person hands in: a brief to design from, a schedule to predict. These are the documents of the command line,
// the app and its files alike; field names carry units. Descriptions stand here once too: they are what a person is
// told when a field is missing (shared/reading/check.ts).
import type { Celsius, Grams, GramsPerLitre, Litres } from '#shared/units.ts';
import { onFirstUse, z } from '#shared/zod.ts';
import { AXES, FORMS, SCHOOLS, YEASTS } from '#shared/ids.ts';
import { above, count, figure, positive, rule } from '#shared/rules.ts';
import { recipeSchema } from './recipe.ts';
import { ADDITIONS_MAX } from './limit-counts.ts';
import {
  hopName,
  gramsSchema,
  moneySchema,
  formsSchema,
  candidatesSchema,
  additionSchema,
} from './lot.ts';
import {
  BEER_L_MAX,
  DOSE_G_PER_L_MAX,
  WEIGH_STEP_G_MIN,
  INTENSITY_MAX,
  NAME_MAX,
} from './sizes.ts';
import type { StageLimit } from './stage-limits.ts';
import { nameItsStages, STAGES_SOUND } from './stage-names.ts';
import { byStage, stagesSchema } from '#shared/stages/stages.ts';

export const batchSchema = onFirstUse(() =>
  z
    .strictObject({
      beer_l: positive<Litres>(
        BEER_L_MAX,
        'the volume of finished beer before dry-hop losses, in L',
      ),
      yeast: z.enum(YEASTS).check(z.describe('the kind of yeast')),
      /** Counted with its own thiol precursors. */
      malt_g_per_l: figure<GramsPerLitre>(0, 1000, 'the malt per litre of beer, in g/L'),
      /** Kept with the brief, not used by the aroma equations. */
      gravity_sg: z.optional(figure(0.99, 1.2, 'the original specific gravity')),
      /** Planned for the package; without it no pressure can be computed. */
      co2_vol: z.optional(
        positive(6, 'the planned carbon dioxide in the package, in volumes per volume'),
      ),
      /** How warm the packaged beer is kept. */
      shelf_temp_c: z.optional(
        figure<Celsius>(-2, 40, 'the temperature the packaged beer is kept at, in C'),
      ),
      /** How much of its price what is left of a package keeps; so much less counts as paid. 0 where absent. */
      leftover_value_pct: z.optional(
        figure(0, 100, 'the part of its price that what is left of a package keeps, in %'),
      ),
    })
    .check(z.describe('the volume of beer, the yeast and the malt')),
);
export type Batch = z.infer<typeof batchSchema>;

const intensity = figure(0, INTENSITY_MAX);
/** What is wished of one axis, on the intensity scale (1 just noticeable, 4 strong, 6 dominant). */
export const wishSchema = onFirstUse(() =>
  z
    .strictObject({
      aim: z.optional(intensity),
      within: z.optional(intensity),
      at_least: z.optional(intensity),
      at_most: z.optional(intensity),
    })
    .check(
      z.refine(
        (w) => w.aim !== undefined || w.at_least !== undefined || w.at_most !== undefined,
        rule('nothing is wished', 'Give aim and within, at_least or at_most'),
      ),
      z.refine(
        (w) => w.aim === undefined || w.within !== undefined,
        rule('aim is given without within', 'Give how far off it may be, like "within": 0.4'),
      ),
      z.refine(
        (w) => w.within === undefined || w.aim !== undefined,
        rule('within is given without aim', 'Give the aim, or remove within'),
      ),
      z.refine(
        (w) => !above(w.at_least, w.at_most),
        rule('at_least lies above at_most', 'Lower at_least or raise at_most'),
      ),
      z.refine(
        (w) => !above(w.at_least, reach(w.aim, w.within)),
        rule('aim and within end below at_least', 'Keep one of the two wishes'),
      ),
      z.refine(
        (w) => !above(reach(w.aim, w.within, -1), w.at_most),
        rule('aim and within begin above at_most', 'Keep one of the two wishes'),
      ),
    ),
);
export type Wish = z.infer<typeof wishSchema>;

/** The upper (or, with -1, the lower) end of aim and within; `undefined` unless both are figures. */
function reach(aim: number | undefined, within: number | undefined, sign = 1): number | undefined {
  return typeof aim === 'number' && typeof within === 'number' ? aim + sign * within : undefined;
}

export const targetSchema = onFirstUse(() =>
  z
    .partialRecord(z.enum(AXES), wishSchema)
    .check(z.describe('the wishes by aroma axis, like "citrus": {"at_least": 3}')),
);
export type Target = z.infer<typeof targetSchema>;

/** Largest total dose of one stage, g/L. */
export const stageMostSchema = figure<GramsPerLitre>(0, DOSE_G_PER_L_MAX);

export const limitsSchema = onFirstUse(() =>
  z
    .strictObject({
      ibu_at_most: z.optional(figure(0, 1000)),
      ibu_at_least: z.optional(figure(0, 1000)),
      /** Different hops (varieties) to choose, 1 or more; kept additions do not count. */
      hops_at_most: z.optional(count(1, 50)),
      /** Forms a hop may be chosen in; all where absent. */
      forms: z.optional(formsSchema),
      /** Different forms of one hop to choose; 1 where absent (`formsPerHop`). Kept additions do not count. */
      forms_per_hop_at_most: z.optional(count(1, FORMS.length)),
      /** Additions to choose: grams of one lot at one stage; kept additions do not count. */
      additions_at_most: z.optional(count(1, ADDITIONS_MAX)),
      /** Leaf of hot steep and dry hop, g of type 90 equivalent per L. */
      leaf_g_per_l_after_mash_at_most: z.optional(figure<GramsPerLitre>(0, DOSE_G_PER_L_MAX)),
      /** Largest part of the hop weight any one variety may make up; kept additions count. */
      share_at_most: z.optional(
        positive(1, 'the largest share of the hop weight for each variety, as a fraction like 0.5'),
      ),
      /** Least grams of one lot at one stage, if used there at all; kept additions do not count. */
      smallest_addition_g: z.optional(gramsSchema),
      /** Additions come in whole multiples of this, g (7.0874 for a quarter ounce). */
      weigh_step_g: z.optional(figure<Grams>(WEIGH_STEP_G_MIN, 1e6, 'the weighing step in g')),
      cost_at_most: z.optional(moneySchema),
      /** Least share of drawn lots in which every wish and the bitterness window hold; 0: none is asked. */
      holds_in_lots_at_least: z.optional(
        figure(0, 1, 'the least share of lots in which every wish holds, as a fraction like 0.6'),
      ),
      /** Largest total dose of a stage by its name, g/L. */
      stage_at_most_g_per_l: z.optional(byStage(stageMostSchema)),
      /** Forms a hop may be chosen in at a stage, by its name; all of `forms` where absent. Kept additions do not count. */
      stage_forms: z.optional(byStage(formsSchema)),
      /** Hops never used, by name. */
      ban: z._default(z.array(hopName).check(z.maxLength(500)), []),
      /** Hops used in any case, by name. */
      require: z._default(z.array(hopName).check(z.maxLength(50)), []),
    })
    .check(
      z.refine(
        (l) => !above(l.ibu_at_least, l.ibu_at_most),
        rule('ibu_at_least lies above ibu_at_most', 'Lower ibu_at_least or raise ibu_at_most'),
      ),
    ),
);
export type Limits = z.infer<typeof limitsSchema>;
/** Limits that are one figure of the whole blend. */
export type LimitFigure = keyof Omit<Limits, 'ban' | 'require' | 'forms' | StageLimit>;

/**
 * What the best blend has least of. A gram of mash hop counts as 0.001 g of leaf after the mash.
 * `closest`: the largest distance from an aim itself, or beyond an at_least or at_most, in intensity;
 * of blends as close the lightest.
 */
export const MINIMISE = ['weight', 'cost', 'leaf', 'closest'] as const;
export type Minimise = (typeof MINIMISE)[number];

const documentFields = () => ({
  name: z._default(z.string().check(z.maxLength(NAME_MAX)), ''),
  batch: batchSchema,
  stages: stagesSchema,
  /** Whose odour thresholds are used; the middle where absent. */
  thresholds: z.optional(z.enum(SCHOOLS).check(z.describe('whose odour thresholds hold'))),
  /** Whether what tasters report of the varieties is left out; it counts where absent. */
  compounds_only: z.optional(
    z.boolean().check(z.describe('true to count compounds alone, without what tasters report')),
  ),
});

export const briefSchema = onFirstUse(() =>
  z
    .strictObject({
      ...documentFields(),
      target: targetSchema,
      /** Additions that stay as they are; the blend is chosen around them, limits count the whole beer. */
      keep: z.optional(z.array(additionSchema).check(z.maxLength(ADDITIONS_MAX))),
      limits: z._default(limitsSchema, { ban: [], require: [] }),
      minimise: z._default(z.enum(MINIMISE), 'weight'),
      candidates: candidatesSchema,
    })
    .check(z.superRefine(nameItsStages, STAGES_SOUND)),
);
/** A brief to design a blend from. */
export type Brief = z.infer<typeof briefSchema>;

/** How a document wants its aroma judged; a setting that stands at its default is left out. */
export function judgingOf({
  thresholds,
  compounds_only,
}: Pick<Brief, 'thresholds' | 'compounds_only'>): Pick<Brief, 'thresholds' | 'compounds_only'> {
  return { ...(thresholds && { thresholds }), ...(compounds_only && { compounds_only }) };
}

export const scheduleSchema = onFirstUse(() =>
  z
    .strictObject({
      ...documentFields(),
      recipe: z.optional(recipeSchema),
      additions: z
        .array(additionSchema)
        .check(z.maxLength(ADDITIONS_MAX), z.describe('the list of hop additions')),
    })
    .check(z.superRefine(nameItsStages, STAGES_SOUND)),
);
/** A hop schedule to predict. */
export type Schedule = z.infer<typeof scheduleSchema>;
