// A design as a recipe of an open standard, handed to the person as a file. Loads the hop table, because both
// standards want the alpha acids of every hop.
import { advice } from '#shared/outcome.ts';
import { writeRecipe } from '#shared/recipes/recipes.ts';
import type { RecipeFormat } from '#shared/schemas/recipe.ts';
import type { SavedDesign } from '#shared/schemas/workspace.ts';
import { findHop } from '#engine/lot/composition.ts';
import { model } from '#engine/tables/model.ts';
import { scheduleOf, titleOf } from '#state/documents/documents.ts';
import { download, fileName } from '#ui/kit/download.ts';

const FILES: Readonly<Record<RecipeFormat, { readonly ending: string; readonly type: string }>> = {
  beerjson: { ending: 'beerjson.json', type: 'application/json' },
  beerxml: { ending: 'xml', type: 'application/xml' },
};

/** Offers the design as a file of the standard. @returns why there is none, or `null`. */
export function downloadRecipe(design: SavedDesign, format: RecipeFormat): string | null {
  const schedule = scheduleOf(design);
  if (!schedule) return 'The design has no blend yet. Wait for its answer, then save it';
  const { recipe } = design;
  const alphaOf = (hop: string) => findHop(model, hop)?.cells.alpha_pct?.central ?? null;
  const made = writeRecipe(format, { ...schedule, ...(recipe && { recipe }) }, alphaOf);
  if (!made.ok) return made.problems.map(advice).join(' ');
  const { ending, type } = FILES[format];
  download(fileName(titleOf(design), ending), `${type};charset=utf-8`, made.value);
  return null;
}
