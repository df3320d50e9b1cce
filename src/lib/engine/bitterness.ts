// Iso-alpha acids from heat, and what a dry hop adds or takes: the bitterness equations.
// Kinetics: Malowicki and Shellhammer 2005 (MAL05), first order, shown for 90-130 C in buffer and
// first order down to 80 C by Jaskula et al. 2008 (JASK08); below that extrapolated.
import type { ParameterValues } from './model.ts';

const KELVIN = 273.15;
const BOIL_C = 100;

/** Rate of isomerization at a temperature in C, 1/min: k1 = A1 exp(-B1/T). Source: MAL05. */
export function isomerizationRate(tempC: number, values: ParameterValues): number {
  return values['iso.a1'] * Math.exp(-values['iso.b1'] / (tempC + KELVIN));
}

/** Rate of loss of iso-alpha acids at a temperature in C, 1/min: k2 = A2 exp(-B2/T). Source: MAL05. */
export function isoLossRate(tempC: number, values: ParameterValues): number {
  return values['iso.a2'] * Math.exp(-values['iso.b2'] / (tempC + KELVIN));
}

/**
 * Iso-alpha acids per alpha acid (mol/mol) after `minutes` at a steady temperature:
 * k1/(k2-k1) (exp(-k1 t) - exp(-k2 t)), consecutive first-order reactions. Source: MAL05.
 */
export function isoFraction(tempC: number, minutes: number, values: ParameterValues): number {
  const k1 = isomerizationRate(tempC, values);
  const k2 = isoLossRate(tempC, values);
  if (Math.abs(k2 - k1) < 1e-9 * k1) return k1 * minutes * Math.exp(-k1 * minutes);
  return (k1 / (k2 - k1)) * (Math.exp(-k1 * minutes) - Math.exp(-k2 * minutes));
}

/** Iso-alpha acids per alpha acid from the boil that follows the mash. */
export function boilIsoFraction(boilMinutes: number, values: ParameterValues): number {
  return isoFraction(BOIL_C, boilMinutes, values);
}

/** Bitter pools of a design, all mg per L of beer. */
export interface BitterPools {
  /** Alpha acids that reach the kettle from mash hops. */
  readonly alphaMash: number;
  /** Alpha acids put into the hot steep. */
  readonly alphaSteep: number;
  /** Humulinones reaching the beer from the dry hop. */
  readonly humulinones: number;
  /** Alpha acids reaching the beer from the dry hop, before the cap. */
  readonly alphaDry: number;
}

/** Heat history as isomerized fractions. */
export interface IsoFractions {
  readonly mash: number;
  readonly hot_steep: number;
}

/** Factor on iso-alpha acids left after adsorption on a dry hop of `load` g/L. Source: MAYE16. */
export function adsorptionFactor(load: number, values: ParameterValues): number {
  return Math.exp(-values['dry_hop.iso_adsorption'] * load);
}

/**
 * Bitterness units as the spectrophotometer reads them: iso + 0.8 humulinones + 0.6 alpha, with
 * hot alpha capped per stage by what wort holds and cold alpha by what beer holds.
 * BU overstates dry-hopped beer (BEER23).
 */
export function bitternessUnits(
  pools: BitterPools,
  iso: IsoFractions,
  load: number,
  values: ParameterValues,
): number {
  const cap = values['iso.hot_alpha_cap'];
  const formed =
    Math.min(pools.alphaMash, cap) * iso.mash + Math.min(pools.alphaSteep, cap) * iso.hot_steep;
  const isoInBeer = formed * values['iso.to_beer'] * adsorptionFactor(load, values);
  return (
    isoInBeer +
    values['ibu.weight.humulinone'] * pools.humulinones +
    values['ibu.weight.alpha'] * Math.min(pools.alphaDry, values['dry_hop.alpha_cap'])
  );
}
