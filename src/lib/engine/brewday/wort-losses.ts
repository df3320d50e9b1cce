// Wort that hops hold back before the fermenter: those of the mash in the grain bed, those of the boil and of steeps
// in the kettle there. It is made up for by more wort, so that the fermenter holds what was wished. What hops of a
// steep in liquor of its own hold is not.
import type { Litres } from '#shared/units.ts';
import { stagesOf, type StageUse } from '#shared/stages/stages.ts';
import type { Design } from '#engine/predict/design.ts';
import { defaultValues, type Model } from '#engine/tables/model.ts';

export interface WortLosses {
  readonly mash_l: Litres;
  readonly kettle_l: Litres;
}

/** L/kg that the hops of a stage hold before the fermenter; `null` where they hold none of its wort. */
function heldBy(values: ReturnType<typeof defaultValues>, use: StageUse): number | null {
  if (use.kind === 'mash') return values['loss.mash'];
  if (use.kind === 'boil') return values['loss.boil'];
  const inKettle = use.kind === 'hot_steep' && use.conditions.liquor_l === undefined;
  return inKettle ? values['loss.hot_steep'] : null;
}

export function wortLosses(model: Model, design: Design): WortLosses {
  const values = defaultValues(model);
  const held = { mash_l: 0, kettle_l: 0 };
  for (const use of stagesOf(design.stages)) {
    const perKg = heldBy(values, use);
    if (perKg === null) continue;
    const own = design.additions.filter((a) => a.stage === use.key);
    const kg = own.reduce((sum, { grams }) => sum + grams, 0) / 1000;
    held[use.kind === 'mash' ? 'mash_l' : 'kettle_l'] += kg * perKg;
  }
  return held;
}
