// Mixing wort or beer with hot liquor: the temperature they reach, and how cool the wort must be for a wished
// one. Heat is conserved and none is lost to the vessel or the air, so the measured temperature is a little
// nearer to that of the room.
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Celsius } from '#shared/units.ts';
import type { Model } from '#engine/tables/model.ts';
import { heatCapacity, massOf, volumeAt, type Liquid } from './liquid.ts';

/** All of these liquids in one vessel; extract, mass and heat are conserved. */
export function mixed(model: Model, liquids: readonly Liquid[]): Liquid {
  const capacities = liquids.map((liquid) => heatCapacity(model, liquid));
  const capacity = capacities.reduce((sum, c) => sum + c, 0);
  const heat = liquids.reduce((sum, { temp_c }, i) => sum + capacities[i]! * temp_c, 0);
  const temp_c = heat / capacity;
  const mass = liquids.reduce((sum, liquid) => sum + massOf(liquid), 0);
  // Gravities mix in proportion to volumes at one temperature; below 1.100 the error is negligible.
  const volumes = liquids.map((liquid) => volumeAt(massOf(liquid), liquid.gravity_sg, temp_c));
  const volume_l = volumes.reduce((sum, v) => sum + v, 0);
  const gravity_sg =
    liquids.reduce((sum, { gravity_sg: g }, i) => sum + g * volumes[i]!, 0) / volume_l;
  return { volume_l: volumeAt(mass, gravity_sg, temp_c), temp_c, gravity_sg };
}

/**
 * How cool the wort must be, C, so that it reaches `reached` with the liquor. Fails where that is below
 * `coldest`, and says how cool the liquor must be first.
 */
export function wortTempFor(
  model: Model,
  wort: Omit<Liquid, 'temp_c'>,
  liquor: Liquid,
  reached: Celsius,
  coldest: Celsius,
): Outcome<Celsius> {
  const hot = heatCapacity(model, liquor);
  // The mass of the wort depends on its temperature: a few rounds find it to a thousandth of a degree.
  let temp_c = reached;
  for (let round = 0; round < 20; round += 1) {
    const cold = heatCapacity(model, { ...wort, temp_c: Math.max(0, temp_c) });
    temp_c = reached - (hot * (liquor.temp_c - reached)) / cold;
  }
  if (temp_c >= coldest) return success(temp_c);
  const cold = heatCapacity(model, { ...wort, temp_c: coldest });
  const bearable = reached + (cold * (reached - coldest)) / hot;
  return failure({
    path: 'stages',
    message: `the wort would have to be at ${temp_c.toFixed(0)} C for ${reached.toFixed(0)} C with the hot liquor in it`,
    cure: `Cool the liquor to ${bearable.toFixed(0)} C before it joins, or use less of it`,
  });
}
