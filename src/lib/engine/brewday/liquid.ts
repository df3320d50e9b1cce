// Mass and heat capacity of a volume of water, wort or beer. Volumes are those at the liquid's own temperature,
// as a sight glass shows them; hot liquor is less dense than cold.
import { defaultValues, type Model } from '#engine/tables/model.ts';
import type { Celsius, In, Litres } from '#shared/units.ts';

type Kilograms = In<'kg'>;
export type Gravity = In<'SG'>;

/**
 * kg/L of air-free water, 0 to 100 C, within 0.0004. Form and figures: the usual fit to the
 * tables of density (CRCWATER).
 */
export function waterDensity(tempC: Celsius): number {
  const fall = ((tempC + 288.9414) * (tempC - 3.9863) ** 2) / (508929.2 * (tempC + 68.12963));
  return 0.999975 * (1 - fall);
}

/** Extract, % by mass (degrees Plato), of a specific gravity 20/20 C; the cubic fit in common use. */
export function platoOf(gravity: Gravity): number {
  return -616.868 + 1111.14 * gravity - 630.272 * gravity ** 2 + 135.997 * gravity ** 3;
}

/** A liquid at one temperature. */
export interface Liquid {
  /** L at `temp_c`. */
  readonly volume_l: Litres;
  readonly temp_c: Celsius;
  /** Specific gravity; 1 is water. */
  readonly gravity_sg: Gravity;
}

/** Mass, kg; wort is taken to expand as water does. */
export function massOf({ volume_l, temp_c, gravity_sg }: Liquid): Kilograms {
  return volume_l * waterDensity(temp_c) * gravity_sg;
}

/** The volume of a mass at another temperature, L. */
export function volumeAt(mass: Kilograms, gravity: Gravity, tempC: Celsius): Litres {
  return mass / (waterDensity(tempC) * gravity);
}

/** Specific heat, kJ/(kg C): water and extract contribute to it by mass. */
export function specificHeat(model: Model, gravity: Gravity): number {
  const values = defaultValues(model);
  const extract = Math.max(0, platoOf(gravity)) / 100;
  return values['brewday.water_heat'] * (1 - extract) + values['brewday.extract_heat'] * extract;
}

/** kJ to warm the liquid by 1 C. */
export function heatCapacity(model: Model, liquid: Liquid): number {
  return massOf(liquid) * specificHeat(model, liquid.gravity_sg);
}
