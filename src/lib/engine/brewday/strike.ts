// The temperature of the strike liquor at which the mash settles at its own. Malt and liquor exchange heat; the
// tun is taken to be warm already.
import type { Celsius } from '#shared/units.ts';
import { defaultValues, type Model } from '#engine/tables/model.ts';

export interface MashIn {
  readonly malt_kg: number;
  readonly malt_temp_c: Celsius;
  readonly liquor_kg: number;
  /** Temperature of the mash once malt and liquor are mixed. */
  readonly mash_temp_c: Celsius;
}

/** Temperature of the strike liquor, C. Source of the form: PALMER (infusions). */
export function strikeTemp(
  model: Model,
  { malt_kg, malt_temp_c, liquor_kg, mash_temp_c }: MashIn,
): Celsius {
  const values = defaultValues(model);
  const malt = malt_kg * values['brewday.malt_heat'];
  const liquor = liquor_kg * values['brewday.water_heat'];
  return mash_temp_c + (malt / liquor) * (mash_temp_c - malt_temp_c);
}
