// What is minimised over a blend (grams, money or leaf), per g/L of each column.
import type { Batch, Brief } from '#shared/schemas/brief.ts';
import { leftoverWorth } from '#engine/predict/purchases.ts';
import type { Offer } from './candidates.ts';
import type { ColumnSet } from './columns.ts';
import type { BlendProblem, Column } from './problem.ts';

/**
 * Leaf a gram of hop counts with at least where leaf is minimised, g. The mash keeps all leaf back;
 * without this, kilograms of mash hops would be as good as none.
 */
export const LEAST_LEAF = 1e-3;

/** What a gram of each column costs: its price, less what it keeps of it where it is left over. */
export function pricesPerG(
  columns: readonly Column[],
  offers: readonly Offer[],
  batch: Batch,
): Float64Array {
  const left = 1 - leftoverWorth(batch);
  return Float64Array.from(columns, ({ lot, stage }) => {
    const price = (offers[lot]!.lot.pricePerKg ?? 0) / 1000;
    return stage === null ? left * price : price;
  });
}

/** Objective per g/L of each column: g, money or g of leaf for the whole batch. */
export function objectivePerDose(
  brief: Brief,
  offers: readonly Offer[],
  { columns, effects }: ColumnSet,
): Float64Array {
  const { beer_l: beerL } = brief.batch;
  const prices = brief.minimise === 'cost' ? pricesPerG(columns, offers, brief.batch) : null;
  return Float64Array.from(columns, (column, j) => {
    if (column.stage === null && brief.minimise !== 'cost') return 0;
    if (brief.minimise === 'weight' || brief.minimise === 'closest') return beerL;
    if (brief.minimise === 'leaf') return beerL * Math.max(effects[j]!.leaf, LEAST_LEAF);
    return beerL * prices![j]!;
  });
}

/**
 * Objective of one weighing step of the cheapest column, 0 where any dose will do; and whether it is that of
 * every column, so that every blend's objective is a whole number of them.
 */
export function stepObjective({ columns, objective, step }: BlendProblem): {
  readonly cheapest: number;
  readonly isCommon: boolean;
} {
  // A hundredth of the largest counts as nothing: a step of it would be no step worth the name.
  const largest = objective.reduce((a, b) => Math.max(a, b), 0);
  const least = objective.reduce(
    (a, b, j) => (b > largest / 100 && columns[j]!.stage !== null ? Math.min(a, b) : a),
    Infinity,
  );
  const fits = (j: number) => {
    const size = columns[j]!.package;
    if (size === undefined) return objective[j] === least;
    // The objective of a lot in packages is a whole number of steps only where a package holds whole steps.
    const steps = size / step;
    return (
      objective[j] === 0 || (objective[j] === least && Math.abs(steps - Math.round(steps)) < 1e-9)
    );
  };
  return {
    cheapest: step > 0 && least < Infinity ? step * least : 0,
    isCommon: objective.every((_, j) => fits(j)),
  };
}
