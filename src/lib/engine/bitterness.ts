// Iso-alpha acids from heat, and what a dry hop adds or takes: the bitterness equations.
// Kinetics: Malowicki and Shellhammer 2005 (MAL05), first order, shown for 90-130 C in buffer and
// first order down to 80 C by Jaskula et al. 2008 (JASK08); below that extrapolated.
import { KELVIN_AT_0_C } from '#shared/units.ts';
import { coolingOf, coolingTemperature, type HotSteep } from './heat.ts';
import type { ParameterValues } from './model.ts';

const BOIL_C = 100;

/** Rate of isomerization at a temperature in C, 1/min: k1 = A1 exp(-B1/T). Source: MAL05. */
export function isomerizationRate(tempC: number, values: ParameterValues): number {
  return values['iso.a1'] * Math.exp(-values['iso.b1'] / (tempC + KELVIN_AT_0_C));
}

/** Rate of loss of iso-alpha acids at a temperature in C, 1/min: k2 = A2 exp(-B2/T). Source: MAL05. */
export function isoLossRate(tempC: number, values: ParameterValues): number {
  return values['iso.a2'] * Math.exp(-values['iso.b2'] / (tempC + KELVIN_AT_0_C));
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

/** Steps of the integration over a cooling; its error is under 1e-6 of the fraction. */
const COOLING_STEPS = 32;

/**
 * Iso-alpha acids per alpha acid after a hot steep and its cooling. The rest in closed form; over the
 * cooling the same two reactions, a' = -k1 a and i' = k1 a - k2 i, by the classical fourth-order
 * Runge-Kutta rule, the rates following the temperature. Source of the rates: MAL05.
 */
export function steepIsoFraction(steep: HotSteep, values: ParameterValues): number {
  let iso = isoFraction(steep.temp_c, steep.minutes, values);
  const curve = coolingOf(steep, values);
  if (!curve) return iso;
  let alpha = Math.exp(-isomerizationRate(steep.temp_c, values) * steep.minutes);
  const h = curve.minutes / COOLING_STEPS;
  const rates = (minutes: number) => {
    const tempC = coolingTemperature(curve, minutes);
    return [isomerizationRate(tempC, values), isoLossRate(tempC, values)] as const;
  };
  let [p, q] = rates(0);
  for (let step = 0; step < COOLING_STEPS; step += 1) {
    const [pm, qm] = rates((step + 0.5) * h);
    const [pe, qe] = rates((step + 1) * h);
    const a1 = -p * alpha;
    const i1 = -a1 - q * iso;
    const a2 = -pm * (alpha + (h / 2) * a1);
    const i2 = -a2 - qm * (iso + (h / 2) * i1);
    const a3 = -pm * (alpha + (h / 2) * a2);
    const i3 = -a3 - qm * (iso + (h / 2) * i2);
    const a4 = -pe * (alpha + h * a3);
    const i4 = -a4 - qe * (iso + h * i3);
    alpha += (h / 6) * (a1 + 2 * a2 + 2 * a3 + a4);
    iso += (h / 6) * (i1 + 2 * i2 + 2 * i3 + i4);
    [p, q] = [pe, qe];
  }
  return iso;
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

/** Bitter substances in the beer, mg/L. */
export interface BitterParts {
  readonly isoMash: number;
  readonly isoSteep: number;
  readonly humulinones: number;
  readonly alpha: number;
}

/**
 * What is left in the beer: hot alpha capped per stage by what wort holds, isomerized, lost on the way
 * and on dry-hop leaf; cold alpha capped by what beer holds.
 */
export function bitterParts(
  pools: BitterPools,
  iso: IsoFractions,
  load: number,
  values: ParameterValues,
): BitterParts {
  const cap = values['iso.hot_alpha_cap'];
  const kept = values['iso.to_beer'] * adsorptionFactor(load, values);
  return {
    isoMash: Math.min(pools.alphaMash, cap) * iso.mash * kept,
    isoSteep: Math.min(pools.alphaSteep, cap) * iso.hot_steep * kept,
    humulinones: pools.humulinones,
    alpha: Math.min(pools.alphaDry, values['dry_hop.alpha_cap']),
  };
}

/** Iso-alpha acids, and the other bitter substances by what each weighs against them. */
function weighed(
  { isoMash, isoSteep, humulinones, alpha }: BitterParts,
  weights: { readonly humulinone: number; readonly alpha: number },
): number {
  return isoMash + isoSteep + weights.humulinone * humulinones + weights.alpha * alpha;
}

/**
 * Bitterness units as the spectrophotometer reads them: iso + 0.8 humulinones + 0.6 alpha.
 * BU overstates dry-hopped beer (BEER23).
 */
export function bitternessUnits(parts: BitterParts, values: ParameterValues): number {
  const humulinone = values['ibu.weight.humulinone'];
  return weighed(parts, { humulinone, alpha: values['ibu.weight.alpha'] });
}

/**
 * Bitterness as tasted, mg/L of iso-alpha acids that taste as bitter: iso + 0.66 humulinones
 * + 0.1 alpha. Sources: ALGAZ16 (humulinones), WIKI_MTF (alpha, second-hand).
 */
export function tastedBitterness(parts: BitterParts, values: ParameterValues): number {
  const humulinone = values['taste.weight.humulinone'];
  return weighed(parts, { humulinone, alpha: values['taste.weight.alpha'] });
}
