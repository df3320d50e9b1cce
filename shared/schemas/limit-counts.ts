// The limits that count things, hops, forms of a hop and additions, and what holds where a brief says nothing.
import type { LimitFigure, Limits } from './brief.ts';

/** Most additions of one beer taken. */
export const ADDITIONS_MAX = 500;
/** Forms of one hop that are chosen where a brief does not say how many: nobody buys a hop twice unasked. */
const FORMS_PER_HOP_USUAL = 1;

/** Limits that count things. */
export const COUNT_LIMITS = [
  'hops_at_most',
  'forms_per_hop_at_most',
  'additions_at_most',
] as const satisfies readonly LimitFigure[];
type CountLimit = (typeof COUNT_LIMITS)[number];

export function isCount(limit: LimitFigure): limit is CountLimit {
  return (COUNT_LIMITS as readonly LimitFigure[]).includes(limit);
}

/** The limits without those that count. */
export function withoutCounts(limits: Limits): Limits {
  const free = { ...limits };
  for (const limit of COUNT_LIMITS) delete free[limit];
  return free;
}

/** Different forms of one hop that may be chosen. */
export function formsPerHop({ forms_per_hop_at_most: most }: Limits): number {
  return most ?? FORMS_PER_HOP_USUAL;
}
