// The hard limits of a blend problem that are linear in the doses: leaf, cost, stages, stock, and the
// share of each hop. Kept additions count; what they take of a limit is taken off it.
import { stageMost, type Brief } from '#shared/schemas/brief.ts';
import { nameKey } from '#shared/name-key.ts';
import type { Offer } from './candidates.ts';
import type { Columns } from './columns.ts';
import { keptDose, type Kept } from './kept.ts';
import { stagesOf } from '#shared/stages/stages.ts';
import { pricesPerG } from './objectives.ts';
import { limitOn } from './limits.ts';
import type { LimitOf, LinearLimit, Use } from './problem.ts';

/** @param free grams of each lot that may still be used. */
export function linearLimits(
  brief: Brief,
  offers: readonly Offer[],
  columns: Columns,
  kept: Kept,
  free: readonly number[],
): LinearLimit[] {
  const { limits, batch } = brief;
  const { uses, effects } = columns;
  const rows: LinearLimit[] = [];
  const add = (
    of: LimitOf,
    most: number | undefined,
    taken: number,
    coefOf: (use: Use, j: number) => number,
  ) => {
    if (most === undefined) return;
    rows.push({ of, most: most - taken, taken, coef: Float64Array.from(uses, coefOf) });
  };
  const prices = pricesPerG(uses, offers);
  const costPerDose = (_: Use, j: number) => batch.beer_l * prices[j]!;
  add(
    { kind: 'leaf' },
    limits.leaf_g_per_l_after_mash_at_most,
    kept.leaf,
    (_, j) => effects[j]!.leaf,
  );
  add({ kind: 'cost' }, limits.cost_at_most, kept.cost ?? 0, costPerDose);
  for (const { key: stage } of stagesOf(brief.stages)) {
    const taken = kept.doses.get(stage) ?? 0;
    add({ kind: 'stage', stage }, stageMost(limits, stage), taken, (use) =>
      use.stage === stage ? 1 : 0,
    );
  }
  const places: number[][] = offers.map(() => []);
  uses.forEach(({ lot, stage }, j) => stage !== null && places[lot]!.push(j));
  offers.forEach(({ lot, candidate }, index) => {
    // A lot of one use is held by that use's largest dose.
    if (lot.gramsOnHand === null || places[index]!.length < 2) return;
    const most = free[index]! / batch.beer_l;
    const only = new Map(places[index]!.map((j) => [j, 1]));
    rows.push(limitOn({ kind: 'stock', hop: candidate.hop }, most, only, uses.length));
  });
  return [...rows, ...shareLimits(limits.share_at_most, columns, kept, batch.beer_l)];
}

/** The limits with every share moved to another fraction. */
export function sharesMoved(limits: readonly LinearLimit[], fraction: number): LinearLimit[] {
  return limits.map((limit) => {
    if (limit.of.kind !== 'share') return limit;
    const { asked, kept } = limit.of;
    const taken = limit.taken + (asked - fraction) * kept;
    const coef = limit.coef.map((c) => c + asked - fraction);
    const of = { kind: 'share', asked: fraction, kept } as const;
    return { of, coef, most: -taken, taken };
  });
}

/** No variety above its share, one row each: its dose - share * all doses <= 0, kept ones included. */
function shareLimits(
  share: number | undefined,
  { uses, varieties }: Columns,
  kept: Kept,
  beerL: number,
): LinearLimit[] {
  if (share === undefined || share >= 1) return [];
  const { additions } = kept;
  const total = keptDose(kept);
  const keys = varieties.map(nameKey);
  const all = new Set([...keys, ...additions.map((a) => nameKey(a.lot.hop))]);
  return [...all].map((key) => {
    const variety = keys.indexOf(key);
    const own = additions.filter((a) => nameKey(a.lot.hop) === key);
    const taken = own.reduce((sum, a) => sum + a.grams, 0) / beerL - share * total;
    const coef = Float64Array.from(uses, (u) =>
      u.stage === null ? 0 : u.variety === variety ? 1 - share : -share,
    );
    const of = { kind: 'share', asked: share, kept: total } as const;
    return { of, coef, most: -taken, taken };
  });
}
