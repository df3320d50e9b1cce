// What the total dry-hop load takes: of the yield of dry hops, 1/(1 + D/half-load) by group of compounds
// (LAF18, direction only), and of iso-alpha acids, exp(-a D) (MAYE16). The laws that couple additions; here
// in symbols, and as numbers for the search, which splits the load.
import type { LoadGroup } from '#shared/schemas/tables.ts';
import type { GramsPerLitre, LitresPerGram } from '#shared/units.ts';
import { decay, line, num, over, sum, type Line, type Term } from '#engine/symbols/term.ts';
import type { Process } from './process.ts';

/** Share of the dry-hop yield left at a load, both in g/L. */
export function shareAtLoad(load: GramsPerLitre, halfLoad: GramsPerLitre): number {
  return 1 / (1 + load / halfLoad);
}

/** What one more g/L of load takes of that share, as a part of it: -d ln(share)/d load, L/g. */
export function lossPerLoad(load: GramsPerLitre, halfLoad: GramsPerLitre): number {
  return 1 / (halfLoad + load);
}

/** Share of iso-alpha acids left after adsorption on a load in g/L, `adsorption` in L/g. */
export function shareAfterAdsorption(load: GramsPerLitre, adsorption: LitresPerGram): number {
  return Math.exp(-adsorption * load);
}

/** The same in symbols. */
export function afterAdsorption(process: Process, load: Line): Term {
  return decay(process.parameter('dry_hop.iso_adsorption'), load);
}

/** The share of a yield as a line; its load is that of the design. */
export function loadLeft(process: Process, group: LoadGroup, load: Line): Line {
  const half = process.parameter(`dry_hop.half_load.${group}`);
  const term = over(num(1), sum(num(1), over(load, half)));
  return line(`Left of the yield at this load, ${group}`, 'fraction', 'load_law', term);
}
