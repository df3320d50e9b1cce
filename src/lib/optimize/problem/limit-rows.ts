// The hard limits of a blend problem that are linear in the doses: leaf, cost, stages, stock, and the
// share of each hop. Fixed additions count; what they take of a limit is taken off it.
import type { Brief } from '#shared/schemas/brief.ts';
import { stageMost } from '#shared/schemas/stage-limits.ts';
import { nameKey } from '#shared/name-key.ts';
import type { Offer } from './candidates.ts';
import type { ColumnSet } from './columns.ts';
import { fixedDose, type FixedAdditions } from './fixed-additions.ts';
import { stagesOf } from '#shared/stages/stages.ts';
import type { Grams, Litres } from '#shared/units.ts';
import { pricesPerG } from './objectives.ts';
import { limitOn } from './limits.ts';
import type { LimitOf, LinearLimit, Column } from './problem.ts';

/** @param free grams of each lot that may still be used. */
export function linearLimits(
  brief: Brief,
  offers: readonly Offer[],
  columnSet: ColumnSet,
  fixed: FixedAdditions,
  free: readonly Grams[],
): LinearLimit[] {
  const { limits, batch } = brief;
  const { columns, effects } = columnSet;
  const rows: LinearLimit[] = [];
  const add = (
    of: LimitOf,
    most: number | undefined,
    taken: number,
    coefOf: (column: Column, j: number) => number,
  ) => {
    if (most === undefined) return;
    rows.push({ of, most: most - taken, taken, coef: Float64Array.from(columns, coefOf) });
  };
  const prices = pricesPerG(columns, offers, batch);
  const costPerDose = (_: Column, j: number) => batch.beer_l * prices[j]!;
  add(
    { kind: 'leaf' },
    limits.leaf_g_per_l_after_mash_at_most,
    fixed.leaf,
    (_, j) => effects[j]!.leaf,
  );
  add({ kind: 'cost' }, limits.cost_at_most, fixed.cost ?? 0, costPerDose);
  for (const { key: stage } of stagesOf(brief.stages)) {
    const taken = fixed.doses.get(stage) ?? 0;
    add({ kind: 'stage', stage }, stageMost(limits, stage), taken, (column) =>
      column.stage === stage ? 1 : 0,
    );
  }
  const places: number[][] = offers.map(() => []);
  columns.forEach(({ lot, stage }, j) => stage !== null && places[lot]!.push(j));
  offers.forEach(({ lot, candidate }, index) => {
    // A lot of one column is held by that column's largest dose.
    if (lot.gramsOnHand === null || places[index]!.length < 2) return;
    const most = free[index]! / batch.beer_l;
    const only = new Map(places[index]!.map((j) => [j, 1]));
    rows.push(limitOn({ kind: 'stock', hop: candidate.hop }, most, only, columns.length));
  });
  return [...rows, ...shareLimits(limits.share_at_most, columnSet, fixed, batch.beer_l)];
}

/** The limits with every share moved to another fraction. */
export function sharesMoved(limits: readonly LinearLimit[], fraction: number): LinearLimit[] {
  return limits.map((limit) => {
    if (limit.of.kind !== 'share') return limit;
    const { asked, fixed } = limit.of;
    const taken = limit.taken + (asked - fraction) * fixed;
    const coef = limit.coef.map((c) => c + asked - fraction);
    const of = { kind: 'share', asked: fraction, fixed } as const;
    return { of, coef, most: -taken, taken };
  });
}

/** No variety above its share, one row each: its dose - share * all doses <= 0, kept ones included. */
function shareLimits(
  share: number | undefined,
  { columns, varieties }: ColumnSet,
  fixed: FixedAdditions,
  beerL: Litres,
): LinearLimit[] {
  if (share === undefined || share >= 1) return [];
  const { additions } = fixed;
  const total = fixedDose(fixed);
  const keys = varieties.map(nameKey);
  const all = new Set([...keys, ...additions.map((a) => nameKey(a.lot.hop))]);
  return [...all].map((key) => {
    const variety = keys.indexOf(key);
    const own = additions.filter((a) => nameKey(a.lot.hop) === key);
    const taken = own.reduce((sum, a) => sum + a.grams, 0) / beerL - share * total;
    const coef = Float64Array.from(columns, (c) =>
      c.stage === null ? 0 : c.variety === variety ? 1 - share : -share,
    );
    const of = { kind: 'share', asked: share, fixed: total } as const;
    return { of, coef, most: -taken, taken };
  });
}
