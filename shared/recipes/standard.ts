// What this program needs of an open standard for recipes: how its text becomes a recipe, which hops and batch it
// gives, and how our hops are put into it. The two ways between recipe and schedule are in recipe.ts.
import type { Outcome } from '#shared/outcome.ts';
import type { Addition, Analysis } from '#shared/schemas/lot.ts';
import type { RecipeFormat } from '#shared/schemas/recipe.ts';
import type { ListedAddition } from '#shared/lists/schedule-list.ts';
import type { StageUse } from '#shared/stages/stages.ts';
import type { Grams, Litres, Percent } from '#shared/units.ts';

/** What a recipe gives of its batch; a figure it does not give is absent. */
export interface RecipeBatch {
  readonly name: string;
  readonly beer_l?: Litres;
  readonly malt_g?: Grams;
  readonly gravity_sg?: number;
  readonly co2_vol?: number;
  readonly notes: string;
}

/** One hop of a recipe, or why it takes no part: it stays in the recipe as it is. */
export type RecipeHop = Outcome<ListedAddition>;

/** A hop to be written. */
export interface HopToWrite {
  readonly addition: Addition;
  readonly use: StageUse;
  /** The standards demand it of each hop: the lot's own, else the table's. */
  readonly alpha_pct: Percent;
  /** Which hop of the recipe so far it continues: the fields we do not know stay with it. */
  readonly like: number | null;
  /** Whether that hop is equal already; then it is written out to the letter. */
  readonly same: boolean;
}

/** A figure of the batch that is written only where it differs from what the recipe gives already. */
export type BatchToWrite = Partial<
  Pick<RecipeBatch, 'name' | 'beer_l' | 'gravity_sg' | 'co2_vol' | 'notes'>
>;

/** One standard. `Recipe` is its document, of which the first recipe is meant. */
export interface Standard<Recipe> {
  readonly format: RecipeFormat;
  /** "BeerJSON" */
  readonly name: string;
  readonly read: (text: string) => Outcome<Recipe>;
  readonly empty: () => Recipe;
  /** Recipes in the document. */
  readonly count: (recipe: Recipe) => number;
  readonly batch: (recipe: Recipe) => RecipeBatch;
  readonly hops: (recipe: Recipe) => readonly RecipeHop[];
  /** The document with these hops and figures in place of those of its first recipe. */
  readonly with: (recipe: Recipe, batch: BatchToWrite, hops: readonly HopToWrite[]) => Recipe;
  readonly text: (recipe: Recipe) => string;
}

/** A figure that comes out of another unit, to the digits that are kept of one. */
export const round = (value: number) => Number(value.toPrecision(10));

/** The analysis a recipe gives of a hop, without figures that are absent or no numbers; an empty object for none. */
export function analysisOf(figures: {
  readonly [Field in keyof Analysis]?: unknown;
}): { readonly analysis?: Analysis } {
  const given = Object.entries(figures).filter(
    ([, figure]) => typeof figure === 'number' && Number.isFinite(figure),
  );
  return given.length === 0 ? {} : { analysis: Object.fromEntries(given) as Analysis };
}

/**
 * The hops of a recipe with ours in place of those that were read; the ones that were not stay behind them.
 * All stay in place where nothing changed.
 */
export function hopsInPlace<Raw>(
  raws: readonly Raw[],
  outcomes: readonly RecipeHop[],
  hops: readonly HopToWrite[],
  written: (hop: HopToWrite, like: Raw | undefined) => Raw,
): readonly Raw[] {
  const read = raws.filter((_, i) => outcomes[i]!.ok);
  const stays =
    hops.length === read.length && hops.every(({ same, like }, i) => same && like === i);
  if (stays) return raws;
  const left = raws.filter((_, i) => !outcomes[i]!.ok);
  return [
    ...hops.map((hop) => {
      const like = hop.like === null ? undefined : read[hop.like];
      return hop.same && like !== undefined ? like : written(hop, like);
    }),
    ...left,
  ];
}
