// The same beer brewed at another size: the brief's weights and costs change in proportion, and so does a
// blend, in weights that can be weighed out. What is on hand stays as it is.
import type { Brief, Limits } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { WEIGH_STEP_G_MIN } from '#shared/schemas/sizes.ts';
import type { OwnAddition } from '#shared/schemas/workspace.ts';
import type { Grams, Litres } from '#shared/units.ts';

/** Steps that scales show: one, two and five of each power of ten. */
const STEP_DIGITS = [5, 2, 1] as const;

/** Removes the rounding error of a product. */
const tidy = (figure: number) => Number(figure.toPrecision(12));

/** The largest of 1, 2 and 5 times a power of ten that is not above `grams`. */
function stepBelow(grams: Grams): Grams {
  const power = 10 ** Math.floor(Math.log10(grams) + 1e-9);
  const digit = STEP_DIGITS.find((d) => d * power <= grams * (1 + 1e-9)) ?? 1;
  return Math.max(WEIGH_STEP_G_MIN, tidy(digit * power));
}

/** A weight in whole steps, at least one step. */
function inSteps(grams: Grams, step: Grams | undefined): Grams {
  if (!step) return tidy(grams);
  return tidy(Math.max(1, Math.round(grams / step)) * step);
}

function limitsAt(limits: Limits, factor: number): Limits {
  const { weigh_step_g: step, smallest_addition_g: smallest, cost_at_most: cost } = limits;
  const weigh_step_g = step && stepBelow(step * factor);
  return {
    ...limits,
    ...(weigh_step_g && { weigh_step_g }),
    ...(smallest && { smallest_addition_g: inSteps(smallest * factor, weigh_step_g) }),
    ...(cost !== undefined && { cost_at_most: tidy(cost * factor) }),
  };
}

/**
 * The brief of the same beer at another volume.
 * @param beerL volume of beer, L, above 0.
 */
export function briefAt(brief: Brief, beerL: Litres): Brief {
  const factor = beerL / brief.batch.beer_l;
  const limits = limitsAt(brief.limits, factor);
  const stages = Object.fromEntries(
    Object.entries(brief.stages).map(([key, stage]) => [
      key,
      stage && 'liquor_l' in stage && stage.liquor_l !== undefined
        ? { ...stage, liquor_l: tidy(stage.liquor_l * factor) }
        : stage,
    ]),
  ) as Brief['stages'];
  return {
    ...brief,
    batch: { ...brief.batch, beer_l: beerL },
    stages,
    limits,
    ...(brief.keep && { keep: additionsAt(brief.keep, factor, limits.weigh_step_g) }),
  };
}

function additionsAt<T extends Addition>(
  additions: readonly T[],
  factor: number,
  step: Grams | undefined,
): T[] {
  return additions.map((a) => ({
    ...a,
    grams: a.grams > 0 ? inSteps(a.grams * factor, step) : 0,
  }));
}

/** The blend of a brief in the same doses at another volume, in the weighing steps that `briefAt` gives there. */
export function blendAt(
  blend: readonly OwnAddition[],
  brief: Brief,
  beerL: Litres,
): readonly OwnAddition[] {
  const factor = beerL / brief.batch.beer_l;
  return additionsAt(blend, factor, limitsAt(brief.limits, factor).weigh_step_g);
}
