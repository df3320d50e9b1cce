// A blend against the share of lots in which it holds: what is asked, what it takes, what is proven of it.
import type { Brief } from '#shared/schemas/brief.ts';
import type { UnitSystem } from '#shared/units.ts';
import { hopMass, money, percent } from './format.ts';

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
