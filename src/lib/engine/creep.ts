// What hop creep may do in the package: enzymes of the dry hop set extract free, yeast ferments it, the
// carbon dioxide stays in. An estimate for caution, not a licence: it knows neither the lot's enzymes
// nor the yeast left. Equations: DEVELOPERS.md, section "Hop creep and carbonation".
import type { Stages } from '#shared/schemas/brief.ts';
import { HOURS_PER_DAY } from '#shared/units.ts';
import type { ParameterValues } from './model.ts';

export const BAR_PER_PSI = 0.0689475729;

/**
 * Extract the enzymes of a dry hop set free, P: min(0.2 D, 2.0) (1 - exp(-t/7 d)).
 * @param leafLoad dry-hop load in g/L of type 90 by leaf. Source: KIRK18 (figures from memory).
 */
export function creepExtract(leafLoad: number, days: number, values: ParameterValues): number {
  const most = Math.min(values['creep.per_load'] * leafLoad, values['creep.cap']);
  return most * (1 - Math.exp(-days / values['creep.days']));
}

/**
 * Carbon dioxide that may still form in the package, volumes: what the enzymes set free in the end,
 * less what live yeast has fermented during the dry hop. All of it counts where no yeast was at work
 * then. Source: ALLA17 (2.5 volumes per P).
 */
export function creepCo2(
  leafLoad: number,
  dryHop: Stages['dry_hop'],
  values: ParameterValues,
): number {
  const before = dryHop?.live_yeast ? dryHop.hours / HOURS_PER_DAY : 0;
  const left = creepExtract(leafLoad, Infinity, values) - creepExtract(leafLoad, before, values);
  return left * values['creep.co2_vol'];
}

/**
 * Gauge pressure over beer at rest, bar: a regression on equilibrium tables (Henry's law with its
 * dependence on temperature), in psi, F and volumes. No headspace counted, so rather too high.
 * @param volumes carbon dioxide in volumes per volume; fitted for about 1 to 5. Source: CO2FIT.
 */
export function carbonationPressureBar(
  volumes: number,
  tempC: number,
  values: ParameterValues,
): number {
  const f = tempC * 1.8 + 32;
  const psi =
    values['carbonation.constant'] +
    values['carbonation.t'] * f +
    values['carbonation.t2'] * f * f +
    values['carbonation.tv'] * f * volumes +
    values['carbonation.v'] * volumes +
    values['carbonation.v2'] * volumes * volumes;
  return psi * BAR_PER_PSI;
}
