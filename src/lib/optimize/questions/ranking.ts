// In which order replacements are listed: first those that nobody can tell from the beer before, or else
// from the nearest one, with the bitterness kept and few lines changed; then by how near they come,
// then by what they cost or weigh.
import type { Replacement } from '#shared/answers/comparison.ts';

/** A smaller difference in intensity shows as none: figures of intensity have one decimal. */
export const AS_NEAR = 0.1;

/** What the order goes by. */
export type RankedReplacement = Pick<
  Replacement,
  'difference' | 'unnoticed' | 'bitterness_kept' | 'added' | 'hops'
> & { readonly totals: Pick<Replacement['totals'], 'hop_g' | 'cost'> };

/** What the order of replacements takes from the schedule. */
export interface Ranking {
  /** Lines of the hop that is gone, and the forms it had. */
  readonly removed: readonly Pick<Replacement['additions'][number], 'form'>[];
  /** A difference that nobody notices, in intensity. */
  readonly unnoticed: number;
  /** Whether cost decides in place of weight. */
  readonly byCost: boolean;
}

/** Difference in tenths, as it is shown. */
const inTenths = (difference: number) => Math.round(difference / AS_NEAR);

/** Negative where the first key that differs is smaller in the first list. */
function firstApart(a: readonly number[], b: readonly number[]): number {
  const i = a.findIndex((key, k) => key !== b[k]);
  return i < 0 ? 0 : a[i]! < b[i]! ? -1 : 1;
}

/** Lines that are new, or gone with no other in their place. */
function linesChanged({ removed }: Ranking, { added }: Pick<RankedReplacement, 'added'>): number {
  return Math.max(removed.length, added.length);
}

/** Up to which difference replacements count as near; those unnoticed come first where there are any. */
function nearest(blends: readonly RankedReplacement[], { unnoticed }: Ranking): number {
  if (blends.some((blend) => blend.unnoticed)) return unnoticed;
  return Math.min(...blends.map((blend) => blend.difference)) + unnoticed;
}

function isNear(
  blend: RankedReplacement,
  blends: readonly RankedReplacement[],
  ranking: Ranking,
): boolean {
  const anyUnnoticed = blends.some((other) => other.unnoticed);
  return anyUnnoticed ? blend.unnoticed : blend.difference <= nearest(blends, ranking);
}

/** What comes before cost and weight; smaller is better. */
function placeOf(
  blend: RankedReplacement,
  blends: readonly RankedReplacement[],
  ranking: Ranking,
): number[] {
  const lines = linesChanged(ranking, blend);
  const near = inTenths(blend.difference);
  return isNear(blend, blends, ranking)
    ? [0, blend.bitterness_kept ? 0 : 1, lines, near]
    : [1, near, blend.bitterness_kept ? 0 : 1, lines];
}

function paid({ totals }: RankedReplacement, { byCost }: Ranking): number[] {
  return byCost ? [totals.cost ?? Infinity, totals.hop_g] : [totals.hop_g];
}

/** In order, each hop or pair of hops once: of its forms as near the one the old hop had. */
export function ranked<T extends RankedReplacement>(blends: readonly T[], ranking: Ranking): T[] {
  const had = new Set(ranking.removed.map(({ form }) => form));
  const otherForms = ({ added }: T) => added.filter(({ form }) => !had.has(form)).length;
  const keyed = blends.map((blend) => {
    const place = placeOf(blend, blends, ranking);
    const last = [...paid(blend, ranking), blend.difference];
    return { blend, own: [...place, otherForms(blend), ...last], all: [...place, ...last] };
  });
  const best = new Map<string, (typeof keyed)[number]>();
  for (const one of keyed) {
    const key = [...one.blend.hops].sort().join('|');
    const other = best.get(key);
    if (!other || firstApart(one.own, other.own) < 0) best.set(key, one);
  }
  return [...best.values()].sort((a, b) => firstApart(a.all, b.all)).map(({ blend }) => blend);
}

/**
 * Whether `count` replacements stand before whatever one with no smaller difference than `bound` can
 * be: it could but be lighter or cheaper than one that comes as near.
 */
export function isBehind(
  bound: number,
  count: number,
  inOrder: readonly RankedReplacement[],
  ranking: Ranking,
): boolean {
  const last = inOrder[count - 1];
  if (!last) return false;
  const lines = Math.max(ranking.removed.length, 1);
  const atBest =
    bound <= nearest(inOrder, ranking)
      ? [0, 0, lines, inTenths(bound)]
      : [1, inTenths(bound), 0, lines];
  return firstApart(placeOf(last, inOrder, ranking), atBest) < 0;
}
