// What a plan is worth: one blend for each batch, the packages opened for all of them together, and what
// they take beyond what there is. Plans are put together here from blends at hand.
import type { Grams } from '#shared/units.ts';
import { packagesFor } from '#engine/predict/purchases.ts';
import type { BatchBlend } from './batch-blend.ts';
import type { SeasonProblem } from './season-problem.ts';

/** A blend for each batch. */
export interface Plan {
  readonly blends: readonly BatchBlend[];
  /** Its objective; what kept additions bring is not in it. */
  readonly worth: number;
  /** Grams taken beyond what there is, all lots together. */
  readonly lacking: Grams;
}

/** Share of a lot, and grams, that are rounding. */
const ROUNDING = 1e-7;
/** Combinations of blends looked at. */
const COMBINED_MOST = 50_000;

/** Grams that blends take of each shared lot together. */
export function takenTogether(blends: readonly BatchBlend[]): Map<number, Grams> {
  const sum = new Map<number, Grams>();
  for (const { taken } of blends) {
    for (const [l, grams] of taken) sum.set(l, (sum.get(l) ?? 0) + grams);
  }
  return sum;
}

/** Grams taken of a lot beyond what there is. */
export function beyond(grams: Grams, there: Grams): Grams {
  return grams > there * (1 + ROUNDING) + ROUNDING ? grams - there : 0;
}

/** The plan that blends make. */
export function planOf({ lots }: SeasonProblem, blends: readonly BatchBlend[]): Plan {
  let worth = blends.reduce((sum, { own }) => sum + own, 0);
  let lacking = 0;
  for (const [l, grams] of takenTogether(blends)) {
    const { grams: there, packageG, packageCost } = lots[l]!;
    if (packageG !== null) worth += packagesFor(grams, packageG) * packageCost;
    lacking += beyond(grams, there);
  }
  return { blends, worth, lacking };
}

/** What a blend counts where it pays for the shared lots, per gram. */
export function pricedOf(
  { own, taken }: BatchBlend,
  prices: Float64Array,
  ownCounts = true,
): number {
  let sum = ownCounts ? own : 0;
  for (const [l, grams] of taken) sum += prices[l]! * grams;
  return sum;
}

/**
 * The best plan of blends at hand that takes no more than there is, one from each list. Those that are cheap
 * at the prices come first; a beginning goes no further once its blends, the cheapest for the other batches
 * at these prices, and what the lots left over could earn come to as much as the best plan.
 */
export function combined(
  season: SeasonProblem,
  lists: readonly (readonly BatchBlend[])[],
  prices: Float64Array,
  below: number,
): Plan | null {
  const { lots } = season;
  const sorted = lists.map((list) =>
    list
      .map((blend) => ({ blend, at: pricedOf(blend, prices) }))
      .sort((a, b) => a.at - b.at || a.blend.own - b.blend.own),
  );
  const rest = sorted.map((_, b) =>
    sorted.slice(b).reduce((sum, list) => sum + (list[0]?.at ?? Infinity), 0),
  );
  const left = lots.map(({ grams }) => grams);
  const earned = lots.reduce(
    (sum, { grams }, l) => sum + (grams < Infinity ? prices[l]! * grams : 0),
    0,
  );
  const chosen: BatchBlend[] = [];
  let best: Plan | null = null;
  let bar = below;
  let looks = 0;
  const go = (b: number, paid: number): void => {
    if (b === sorted.length) {
      const plan = planOf(season, chosen.slice());
      if (plan.lacking === 0 && plan.worth < bar) [best, bar] = [plan, plan.worth];
      return;
    }
    for (const { blend, at } of sorted[b]!) {
      looks += 1;
      if (looks > COMBINED_MOST || paid + at + (rest[b + 1] ?? 0) - earned >= bar) return;
      if (![...blend.taken].every(([l, grams]) => beyond(grams, left[l]!) === 0)) continue;
      for (const [l, grams] of blend.taken) left[l]! -= grams;
      chosen.push(blend);
      go(b + 1, paid + at);
      chosen.pop();
      for (const [l, grams] of blend.taken) left[l]! += grams;
    }
  };
  go(0, 0);
  return best;
}

/** The plan that lacks least near one at hand: batch by batch another blend, as long as that helps. */
export function leastLacking(
  season: SeasonProblem,
  lists: readonly (readonly BatchBlend[])[],
  from: Plan | null,
): Plan {
  let best =
    from ??
    planOf(
      season,
      lists.map((list) => list[0]!),
    );
  for (let helped = true; helped && best.lacking > 0;) {
    helped = false;
    for (const [b, list] of lists.entries()) {
      for (const blend of list) {
        const plan = planOf(season, best.blends.with(b, blend));
        if (plan.lacking >= best.lacking - ROUNDING) continue;
        [best, helped] = [plan, true];
      }
    }
  }
  return best;
}
