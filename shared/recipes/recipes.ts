// The open standards by their format: what they are called, and both ways between a recipe and a schedule.
import type { Outcome } from '#shared/outcome.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import type { RecipeFormat } from '#shared/schemas/recipe.ts';
import { beerJson } from './beerjson.ts';
import { beerXml } from './beerxml.ts';
import { recipeText, scheduleFrom, type AlphaOf, type ReadRecipe } from './recipe.ts';

/** Reads the first recipe of a text as a schedule, as `scheduleFrom` does. */
export function readRecipe(format: RecipeFormat, text: string): Outcome<ReadRecipe> {
  return format === 'beerjson' ? scheduleFrom(beerJson, text) : scheduleFrom(beerXml, text);
}

/** A schedule as a recipe, as `recipeText` writes it. */
export function writeRecipe(
  format: RecipeFormat,
  schedule: Schedule,
  alphaOf: AlphaOf,
): Outcome<string> {
  return format === 'beerjson'
    ? recipeText(beerJson, schedule, alphaOf)
    : recipeText(beerXml, schedule, alphaOf);
}
