// In what share of draws a blend meets every wish and the bitterness window, by the engine alone. Lots
// differ from one to the next; what science does not know is the same for every lot. The two are told
// apart: the chance over lots is what a brewer meets from batch to batch if the model is right.
import type { Chance } from '#shared/answers/answer.ts';
import { AXES } from '#shared/ids.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import {
  DEFAULT_SAMPLING,
  drawing,
  drawnWorld,
  lentSample,
  lotDrawsOf,
  sampleIn,
  type Sample,
} from '#engine/doubt/bands.ts';
import type { Sampling } from '#engine/doubt/sampling.ts';
import type { Design } from '#engine/predict/design.ts';
import type { Model } from '#engine/tables/model.ts';
import type { World } from '#engine/symbols/world.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import { windowOf } from './windows.ts';

type Asked = Pick<Brief, 'target' | 'limits'>;

/** Relative miss that counts as rounding. */
const TOLERANCE = 1e-6;
/** The draws of lots by which a blend is judged: others than those by which it was chosen. */
export const LOT_SAMPLING: Sampling = { samples: 500, seed: 43 };

/** Whether a brief asks anything that may hold in one lot and not in another. */
export function asksOfLots({ target, limits: { ibu_at_least, ibu_at_most } }: Asked): boolean {
  return [...Object.values(target), ibu_at_least, ibu_at_most].some((w) => w !== undefined);
}

/** For each draw, whether every wish and the bitterness window are met. */
export function heldBy({ intensities, totals }: Sample, { target, limits }: Asked): boolean[] {
  const { ibu_at_least = 0, ibu_at_most = Infinity } = limits;
  const slack = 1 + TOLERANCE;
  const windows = AXES.flatMap((axis, i) => {
    const wish = target[axis];
    return wish ? [{ of: intensities[i]!, ...windowOf(wish) }] : [];
  });
  return Array.from(totals.ibu, (ibu, k) => {
    if (ibu * slack < ibu_at_least || ibu > ibu_at_most * slack) return false;
    return windows.every(
      ({ of, low, high }) => of[k]! * slack + 1e-9 >= low && of[k]! <= high * slack + 1e-9,
    );
  });
}

function shareOf(held: readonly boolean[]): number {
  return held.filter(Boolean).length / held.length;
}

/** Share of worlds in which a design meets all that is asked, 0 to 1. */
export function shareHeld(model: Model, asked: Asked, design: Design, worlds: World): number {
  return shareOf(heldBy(sampleIn(model, design, worlds), asked));
}

/**
 * In what share of drawn lots a design meets all that is asked, and in what share of draws of
 * everything uncertain. @param sampling draws of everything; those of the bands.
 */
export function* chancing(
  model: Model,
  asked: Asked,
  design: Design,
  sampling: Sampling = DEFAULT_SAMPLING,
): Resting<Chance> {
  yield* drawing(model, design, LOT_SAMPLING);
  const lots = drawnWorld(LOT_SAMPLING.samples, null, lotDrawsOf(model, design, LOT_SAMPLING));
  const holds_in_lots = shareHeld(model, asked, design, lots);
  yield;
  yield* drawing(model, design, sampling);
  const holds_in_all = shareOf(heldBy(lentSample(model, design, sampling), asked));
  return { holds_in_lots, holds_in_all };
}
