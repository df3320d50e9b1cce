// What the total dry-hop load takes: from the yield of dry hops, 1/(1 + D/half-load) by group of compounds
// (LAF18, direction only), and from iso-alpha acids, exp(-a D) (MAYE16). These are the laws that couple
// additions; here they stand in symbols, and as numbers for the search, which splits the range of the load.
import type { LoadGroup } from '#shared/schemas/tables.ts';
import type { GramsPerLitre, LitresPerGram } from '#shared/units.ts';
import { decay, line, num, over, sum, type Line, type Term } from '#engine/symbols/term.ts';
import type { Process } from './process.ts';

/** Share of the dry-hop yield left at a load, both in g/L. */
export function shareAtLoad(load: GramsPerLitre, halfLoad: GramsPerLitre): number {
  return 1 / (1 + load / halfLoad);
}

/** Relative loss of that share per further g/L of load: -d ln(share)/d load, L/g. */
export function lossPerLoad(load: GramsPerLitre, halfLoad: GramsPerLitre): number {
  return 1 / (halfLoad + load);
}

/** Share of iso-alpha acids left after adsorption on a load in g/L, `adsorption` in L/g. */
export function shareAfterAdsorption(load: GramsPerLitre, adsorption: LitresPerGram): number {
  return Math.exp(-adsorption * load);
}

/** Share of iso-alpha acids left after adsorption, as a term. */
export function afterAdsorption(process: Process, load: Line): Term {
  return decay(process.parameter('dry_hop.iso_adsorption'), load);
}

/** Share of the yield that the load leaves, as a line; `load` is the total dry-hop load of the design, g/L. */
export function loadLeft(process: Process, group: LoadGroup, load: Line): Line {
  const half = process.parameter(`dry_hop.half_load.${group}`);
  const term = over(num(1), sum(num(1), over(load, half)));
  return line(`Left of the yield at this load, ${group}`, 'fraction', 'load_law', term);
}
