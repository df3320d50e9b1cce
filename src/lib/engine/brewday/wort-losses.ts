// Wort that hops hold back before the fermenter: hops of the mash in the grain bed, hops of the boil and of
// steeps in the kettle. More wort makes up for it, so that the fermenter holds what was wished. What hops of a
// steep in its own liquor hold back is not made up for.
import type { Litres } from '#shared/units.ts';
import type { Design } from '#engine/predict/design.ts';
import { processOf } from '#engine/process/process.ts';
import type { Model } from '#engine/tables/model.ts';

export interface WortLosses {
  readonly mash_l: Litres;
  readonly kettle_l: Litres;
}

export function wortLosses(model: Model, { batch, stages, additions }: Design): WortLosses {
  const process = processOf(model, batch, stages);
  const held = { mash: 0, kettle: 0 };
  for (const { lot, stage, grams } of additions) {
    const { loss, madeUpIn } = process.stage(stage);
    if (madeUpIn !== null) held[madeUpIn] += (grams / 1000) * loss(lot.form).value;
  }
  return { mash_l: held.mash, kettle_l: held.kettle };
}
