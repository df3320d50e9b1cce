// Seeded draws of what is in each lot, as worlds of the engine. Parameters and thresholds stay at their
// defaults.
import type { Lot } from '#engine/lot/composition.ts';
import type { Model } from '#engine/tables/model.ts';
import { drawnWorld } from '#engine/doubt/bands.ts';
import { drawLot, lotNames, type LotDraws } from '#engine/doubt/lot-sampling.ts';
import { at, type World } from '#engine/symbols/world.ts';

/**
 * Worlds that differ in the composition of their lots; the same seed gives the same worlds.
 * @param of the lots that are looked at, where not all are; those of all lots are drawn as ever.
 */
export function worldsOf(
  model: Model,
  lots: Iterable<Lot>,
  count: number,
  seed: number,
  of: ReadonlySet<Lot> | null = null,
): World {
  const draws = new Map<Lot, LotDraws>();
  for (const [lot, name] of lotNames(lots)) {
    if (of && !of.has(lot)) continue;
    draws.set(lot, drawLot(model, lot, name, { samples: count, seed }));
  }
  return drawnWorld(count, null, draws);
}

/** One of many worlds alone. */
export function worldAt(worlds: World, k: number): World {
  return {
    count: 1,
    valuesOf: (input, central) => {
      const values = worlds.valuesOf(input, central);
      return values === undefined ? undefined : at(values, k);
    },
  };
}
