// A blend against the share of lots in which it holds: what is asked, what it takes, what is proven of it.
import type { Chance, Hold } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { UnitSystem } from '#shared/units.ts';
import { hopMass, money, percent } from './format.ts';
import { wishFigure, wishName } from './wishes.ts';

/** An objective in the figure a brief minimises: "48 g", "5.20", "31 g of leaf". */
export function objectiveWords(
  objective: number,
  { minimise }: Pick<Brief, 'minimise'>,
  units: UnitSystem,
): string {
  if (minimise === 'cost') return money(objective);
  const size = hopMass(objective, units);
  return minimise === 'leaf' ? `${size} of leaf` : size;
}

/** What a share of lots asks for; 0 asks of the middle lots alone. */
export function lotsAsked(share: number): string {
  return share === 0 ? 'an average lot alone' : `${percent(share)} of lots`;
}

/** What is proven of the least blend for a share, short. */
export function chanceProof({ proven, gap }: { proven: boolean; gap: number }): string {
  return proven ? 'proven the least' : `within ${percent(gap)} of the least`;
}

/** What is known where no blend was found that holds in the share of lots asked for. */
export function unreached({ wanted, share_at_most: most, eased }: Hold, units: UnitSystem): string {
  const none = `No blend was found that meets every wish in ${percent(wanted)} of lots`;
  const proven = most < wanted ? `; proven: none does in more than ${percent(most)}` : '';
  if (!eased) return `${none}${proven}.`;
  const { wish, by } = eased;
  return `${none}${proven}. This one would with ${wishName(wish)} loosened by ${wishFigure(wish, by, units)}.`;
}

/**
 * In what share of drawn lots a blend meets every wish; `null` where nothing is asked or nothing was
 * drawn. What lots can't explain, what science does not know, stands apart.
 */
export function chanceWords(
  { holds_in_lots: lots, holds_in_all: all }: Partial<Chance>,
  { target, limits }: Brief,
): string | null {
  const { ibu_at_least, ibu_at_most } = limits;
  const asks =
    Object.keys(target).length > 0 || ibu_at_least !== undefined || ibu_at_most !== undefined;
  if (!asks || lots === undefined || all === undefined) return null;
  const inLots = lots === 0 ? 'in none of the lots tried' : `in ${percent(lots)} of lots`;
  const met = `Meets every wish ${inLots} if the model is right; ${percent(all)} if the uncertainty of the model counts too`;
  const wanted = limits.holds_in_lots_at_least ?? 0;
  return lots < wanted ? `${met}. You ask for ${percent(wanted)} of lots.` : `${met}.`;
}
