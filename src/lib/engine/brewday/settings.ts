// What the brew day needs to know beyond the schedule: how thick the mash is, how warm the malt, how much the
// kettle boils off and keeps, where the yeast is pitched, how long it ferments. A setting that nobody gave has
// its usual value and is marked as usual.
import { defaultValues, type Model } from '#engine/tables/model.ts';
import type { Celsius } from '#shared/units.ts';

export interface BrewSettings {
  readonly liquor_l_per_kg?: number | undefined;
  readonly malt_temp_c?: Celsius | undefined;
  /** In % of the wort before the boil. */
  readonly evaporation_pct_per_h?: number | undefined;
  /** In % of the wort at the end of the boil. */
  readonly kettle_loss_pct?: number | undefined;
  readonly pitch_temp_c?: Celsius | undefined;
  readonly fermentation_days?: number | undefined;
}

export interface SettingsUsed {
  readonly liquorPerKg: number;
  readonly maltTemp: Celsius;
  /** Share of the wort before the boil that boils off in an hour. */
  readonly evaporation: number;
  /** Share of the wort after the boil that stays in the kettle. */
  readonly kettleLoss: number;
  readonly pitchTemp: Celsius;
  /** The usual range around it; `null` where the person gave the temperature. */
  readonly pitchWindow: { readonly low: Celsius; readonly high: Celsius } | null;
  readonly fermentationDays: number;
  readonly earlyDryHopDay: number;
  readonly crashDays: number;
  readonly crashTemp: Celsius;
  readonly coldestWort: Celsius;
  readonly isUsual: (of: keyof BrewSettings) => boolean;
}

export function settingsUsed(model: Model, given: BrewSettings): SettingsUsed {
  const values = defaultValues(model);
  const { low, high } = model.parameters['brewday.pitch_temp'];
  return {
    liquorPerKg: given.liquor_l_per_kg ?? values['brewday.mash_liquor'],
    maltTemp: given.malt_temp_c ?? values['brewday.malt_temp'],
    evaporation: (given.evaporation_pct_per_h ?? values['brewday.evaporation']) / 100,
    kettleLoss: (given.kettle_loss_pct ?? values['brewday.kettle_loss']) / 100,
    pitchTemp: given.pitch_temp_c ?? values['brewday.pitch_temp'],
    pitchWindow: given.pitch_temp_c === undefined ? { low, high } : null,
    fermentationDays: given.fermentation_days ?? values['brewday.fermentation_days'],
    earlyDryHopDay: values['brewday.early_dry_hop_day'],
    crashDays: values['brewday.crash_days'],
    crashTemp: values['brewday.crash_temp'],
    coldestWort: values['brewday.coldest_wort'],
    isUsual: (of) => given[of] === undefined,
  };
}
