// The recipe a schedule came from, kept as it came.
import { onFirstUse, z } from '#shared/zod.ts';

/** Open standards for recipes that a schedule can come from and go out as. */
export const RECIPE_FORMATS = ['beerjson', 'beerxml'] as const;
export type RecipeFormat = (typeof RECIPE_FORMATS)[number];
/** Longest recipe kept with a schedule, characters. */
export const RECIPE_CHARACTERS_MAX = 2_000_000;

/** The recipe a schedule was read from: what stands in it beside the hops goes out again as it came. */
export const recipeSchema = onFirstUse(() =>
  z.strictObject({
    format: z.enum(RECIPE_FORMATS).check(z.describe('the standard the recipe is written in')),
    text: z.string().check(z.maxLength(RECIPE_CHARACTERS_MAX), z.describe('the recipe as it came')),
  }),
);
