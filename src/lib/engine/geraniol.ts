// What yeast makes of geraniol: it is lost in two ways side by side. Taken up and blown off it is only
// while the beer ferments; reduced to citronellol as long as yeast is there, so also in green beer.
import { HOURS_PER_DAY } from '#shared/units.ts';
import type { Model, ParameterValues } from './model.ts';

/** Temperature at which yeast reduces after the fermentation as `ferment.maturation_rate` says, C. */
export const MATURATION_REFERENCE_C = 20;

/** How long geraniol is with yeast. */
export interface TimeOnYeast {
  /** Part of the fermentation met, 0 to 1. */
  readonly fermentation: number;
  /** After it, in lengths of a fermentation at its rate of reduction. */
  readonly after: number;
}

/** The whole of a fermentation, and no more: what is in the wort at pitching. */
export const FROM_PITCHING: TimeOnYeast = { fermentation: 1, after: 0 };

/**
 * Time on yeast of a dry hop: what is left of the fermentation when it goes in, then the hours beyond
 * it at the temperature of the dry hop.
 */
export function dryHopOnYeast(
  { hours, temp_c }: { readonly hours: number; readonly temp_c: number },
  values: ParameterValues,
): TimeOnYeast {
  const fermentation = values['dry_hop.fermentation_left'];
  const days = values['ferment.days'];
  const beyond = Math.max(0, hours / HOURS_PER_DAY - fermentation * days);
  const warmth = values['ferment.maturation_q10'] ** ((temp_c - MATURATION_REFERENCE_C) / 10);
  return { fermentation, after: (beyond / days) * warmth * values['ferment.maturation_rate'] };
}

/**
 * What is left of 1 ug of geraniol on yeast, and the ug of citronellol it gives: both losses of first
 * order. A whole fermentation leaves `ferment.survival.geraniol`; of what it loses
 * `ferment.citronellol_gain` is citronellol, mole for mole (TAKOI11, KING00). After it reduction goes
 * on alone: citronellol rose on in green beer (TAKOI10, second-hand).
 */
export function geraniolOnYeast(
  model: Model,
  { fermentation, after }: TimeOnYeast,
  values: ParameterValues,
): { readonly left: number; readonly citronellol: number } {
  const survival = values['ferment.survival.geraniol'];
  const gain = values['ferment.citronellol_gain'];
  const green = survival ** fermentation;
  const left = green * survival ** (gain * after);
  const massRatio = model.compounds.citronellol.molarMass / model.compounds.geraniol.molarMass;
  return { left, citronellol: ((1 - green) * gain + (green - left)) * massRatio };
}
