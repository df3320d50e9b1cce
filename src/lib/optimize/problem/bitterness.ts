// The bitterness of a blend: IBU = base + plain.x + sum of capped terms, weight * (base + min(alpha.x, cap)),
// those of the kettle less what the dry-hop load adsorbs. Where a side of every cap is chosen it is linear
// in the doses, which is how rows and prices see it.
import type { GramsPerLitre, MilligramsPerLitre } from '#shared/units.ts';
import { shareAfterAdsorption } from '#engine/process/load-law.ts';
import { sumOver, type Doses } from './doses.ts';
import type { BitterRow, BitterTerm, BlendProblem } from './problem.ts';

/** A term counts with its cap, or as if it had none. */
export type CapSide = 'linear' | 'capped';

/** A choice of sides by number: bit i is set where the i-th term counts with its cap. */
export function sideIn(choice: number, term: number): CapSide {
  return (choice >> term) & 1 ? 'capped' : 'linear';
}

/** Share of adsorbed terms left at a load, g/L. */
export function hotShare({ adsorption }: BitterRow, load: GramsPerLitre): number {
  return shareAfterAdsorption(load, adsorption);
}

/** IBU of a term on one side of its cap: constant + slope * alpha.x, `hot` the share left if adsorbed. */
export function termLine(
  { base, cap, weight, adsorbed }: BitterTerm,
  side: CapSide,
  hot: number,
): { constant: number; slope: number } {
  const factor = adsorbed ? weight * hot : weight;
  return side === 'capped'
    ? { constant: factor * (base + cap), slope: 0 }
    : { constant: factor * base, slope: factor };
}

/** The side of its cap on which a term lies that holds so much alpha acid, mg/L. */
export function sideAt({ cap }: BitterTerm, alpha: MilligramsPerLitre): CapSide {
  return alpha > cap ? 'capped' : 'linear';
}

/** IBU of a term that holds so much alpha acid, mg/L. */
export function termIbu(term: BitterTerm, alpha: MilligramsPerLitre, hot: number): number {
  const { constant, slope } = termLine(term, sideAt(term, alpha), hot);
  return constant + slope * alpha;
}

/** IBU of doses at a load. */
export function ibuAt({ bitter }: BlendProblem, doses: Doses, load: GramsPerLitre): number {
  if (!bitter) return 0;
  const hot = hotShare(bitter, load);
  let ibu = bitter.base + sumOver(bitter.plain, doses);
  for (const term of bitter.terms) ibu += termIbu(term, sumOver(term.alpha, doses), hot);
  return ibu;
}
