// Which varieties are alike in their oil. Shares of oil are parts of a whole, so they are compared by
// centred log-ratios (Aitchison): twice as much of a part counts the same whether it is 1 % or 30 %.
// The map shows the two directions in which the varieties differ most (principal components).
import { mean } from 'simple-statistics';
import { analyteOf, type OilCompoundId } from '#shared/ids.ts';
import type { Hop } from '#shared/schemas/tables.ts';

/** The parts of the oil that most varieties have a figure for; the rest up to 100 % counts as one more part. */
export const COMPARED_COMPOUNDS = [
  'myrcene',
  'humulene',
  'caryophyllene',
  'farnesene',
  'linalool',
  'geraniol',
] as const satisfies readonly OilCompoundId[];
export const COMPARED_PARTS = [...COMPARED_COMPOUNDS, 'rest'] as const;
export type ComparedPart = (typeof COMPARED_PARTS)[number];

/**
 * A smaller share of a part counts as this, % of oil: a ratio needs a figure above 0, and tables print little
 * below it. Farnesene is commonly printed as "below 1 %"; with a finer floor, unmeasured traces would decide
 * the whole map.
 */
const leastShare = (part: ComparedPart) => (part === 'farnesene' ? 0.5 : 0.05);

export interface Compared {
  readonly hop: Hop;
  /** Centred log-ratios in the order of COMPARED_PARTS; they sum to 0. */
  readonly ratios: readonly number[];
  /** Compared figures that are estimates: the variety's true place on the map may differ. */
  readonly estimated: readonly OilCompoundId[];
}

/** Centred log-ratios of shares; shares are positive, on any common scale. */
export function centredLogRatios(shares: readonly number[]): number[] {
  const logs = shares.map(Math.log);
  const centre = mean(logs);
  return logs.map((log) => log - centre);
}

/** Log-ratios of a variety, or `null` where one of the compared figures is missing. */
export function comparedOf(hop: Hop): Compared | null {
  const cells = COMPARED_COMPOUNDS.map((compound) => hop.cells[analyteOf(compound)]);
  if (cells.some((cell) => cell === undefined)) return null;
  const shares = COMPARED_COMPOUNDS.map((c, i) => Math.max(leastShare(c), cells[i]!.central));
  const rest = Math.max(leastShare('rest'), 100 - shares.reduce((sum, share) => sum + share, 0));
  return {
    hop,
    ratios: centredLogRatios([...shares, rest]),
    estimated: COMPARED_COMPOUNDS.filter((_, i) => cells[i]!.status === 'estimated'),
  };
}

/** Aitchison distance: 0 for the same oil; doubling one part against all others adds about 0.6. */
export function distance(a: Compared, b: Compared): number {
  return Math.hypot(...a.ratios.map((ratio, i) => ratio - b.ratios[i]!));
}

export interface Neighbour {
  readonly hop: Hop;
  readonly distance: number;
}

/** The varieties whose oil is most alike, nearest first. */
export function nearest(of: Compared, among: readonly Compared[], count: number): Neighbour[] {
  return among
    .filter((other) => other.hop.id !== of.hop.id)
    .map((other) => ({ hop: other.hop, distance: distance(of, other) }))
    .sort((a, b) => a.distance - b.distance)
    .slice(0, count);
}
