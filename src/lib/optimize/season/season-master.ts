// The relaxed plan of a season: for each batch a mixture of the blends known so far, which together take no more
// of each lot than there is and than is bought. Its multipliers are the prices of the lots, by which each
// batch is asked for a better blend (Dantzig and Wolfe 1960).
import type { Effort } from '#optimize/pacing/clock.ts';
import { Simplex } from '#optimize/lp/simplex.ts';
import type { LpRow } from '#optimize/lp/tableau.ts';
import type { BatchBlend } from './batch-blend.ts';
import type { SharedLot } from './season-problem.ts';

/** Packages bought of a lot, at least and at most. */
export interface PackageRange {
  readonly least: number;
  readonly most: number;
}

export interface Mixture {
  /** By batch, then by blend of its list: its share. */
  readonly shares: readonly Float64Array[];
  /** By lot: packages bought, and grams taken beyond what there is. */
  readonly packages: Float64Array;
  readonly lacking: Float64Array;
  /** By lot: what a gram counts. */
  readonly prices: Float64Array;
  /** Its objective. */
  readonly worth: number;
}

/** Shares and grams this small are rounding. */
const ROUNDING = 1e-9;

/**
 * Mixes the blends of each batch at least cost.
 * @param shared numbers of the lots that are shared.
 * @param lackingCost what a gram beyond what there is counts.
 * @param ownCounts whether the blends' own objective counts, or only what is lacking.
 * @returns `null` where the simplex gave up.
 */
export function mixed(
  lots: readonly SharedLot[],
  shared: readonly number[],
  blends: readonly (readonly BatchBlend[])[],
  ranges: ReadonlyMap<number, PackageRange>,
  lackingCost: number,
  ownCounts: boolean,
  effort: Effort,
): Mixture | null {
  const starts: number[] = [];
  let n = 0;
  for (const own of blends) {
    starts.push(n);
    n += own.length;
  }
  const bought = shared.filter((l) => lots[l]!.packageCost > 0);
  const packageAt = new Map(bought.map((l, k) => [l, n + k]));
  const lackingFrom = n + bought.length;
  const columns = lackingFrom + shared.length;
  // No mixture takes more than this of a lot.
  const reach = shared.map((l) =>
    blends.reduce((sum, own) => sum + own.reduce((m, b) => Math.max(m, b.taken.get(l) ?? 0), 0), 0),
  );
  const cost = new Float64Array(columns);
  const lower = new Float64Array(columns);
  const upper = new Float64Array(columns).fill(1);
  blends.forEach((own, b) =>
    own.forEach((blend, k) => (cost[starts[b]! + k] = ownCounts ? blend.own : 0)),
  );
  shared.forEach((l, k) => {
    cost[lackingFrom + k] = lackingCost;
    upper[lackingFrom + k] = reach[k]!;
    const j = packageAt.get(l);
    if (j === undefined) return;
    const { least, most } = rangeOf(ranges, l);
    cost[j] = ownCounts ? lots[l]!.packageCost : 0;
    lower[j] = least;
    upper[j] = Math.min(most, least + Math.ceil(reach[k]! / lots[l]!.packageG!));
  });
  const rows: LpRow[] = blends.map((own, b) => {
    const coef = new Float64Array(columns);
    coef.fill(1, starts[b]!, starts[b]! + own.length);
    return { coef, lower: 1, upper: 1 };
  });
  shared.forEach((l, k) => {
    const coef = new Float64Array(columns);
    blends.forEach((own, b) =>
      own.forEach(({ taken }, at) => (coef[starts[b]! + at] = taken.get(l) ?? 0)),
    );
    const { grams, packageG } = lots[l]!;
    const j = packageAt.get(l);
    if (j !== undefined) coef[j] = -packageG!;
    coef[lackingFrom + k] = -1;
    const lowest = -reach[k]! - (j === undefined ? 0 : packageG! * upper[j]!);
    rows.push({ coef, lower: lowest, upper: j === undefined ? grams : 0 });
  });
  const simplex = new Simplex(cost, lower, upper, ROUNDING, effort);
  if (simplex.solve(rows, null) !== 'optimal') return null;
  const prices = new Float64Array(lots.length);
  const packages = new Float64Array(lots.length);
  const lacking = new Float64Array(lots.length);
  shared.forEach((l, k) => {
    const { packageG, packageCost } = lots[l]!;
    // A gram is worth no more than in a package, as long as there is no end of these.
    const endless = packageG !== null && rangeOf(ranges, l).most === Infinity;
    const most = endless ? (ownCounts ? packageCost : 0) / packageG : Infinity;
    prices[l] = Math.min(most, Math.max(0, -simplex.multipliers[blends.length + k]!));
    lacking[l] = Math.max(0, simplex.x[lackingFrom + k]!);
    const j = packageAt.get(l);
    if (j !== undefined) packages[l] = simplex.x[j]!;
  });
  return {
    shares: blends.map((own, b) => simplex.x.slice(starts[b]!, starts[b]! + own.length)),
    packages,
    lacking,
    prices,
    worth: simplex.x.reduce((sum, x, j) => sum + x * cost[j]!, 0),
  };
}

/** Packages there may be of a lot where a node says nothing. */
export function rangeOf(ranges: ReadonlyMap<number, PackageRange>, lot: number): PackageRange {
  return ranges.get(lot) ?? { least: 0, most: Infinity };
}

/**
 * What the shared lots add to the bounds of the batches at these prices: what there is of them was free, and
 * packages bring as much as they cost or less.
 */
export function lotsBound(
  lots: readonly SharedLot[],
  shared: readonly number[],
  ranges: ReadonlyMap<number, PackageRange>,
  prices: Float64Array,
  ownCounts: boolean,
): number {
  let bound = 0;
  for (const l of shared) {
    const { grams, packageG, packageCost } = lots[l]!;
    if (packageG === null) {
      if (prices[l]! > 0) bound -= prices[l]! * grams;
      continue;
    }
    const { least, most } = rangeOf(ranges, l);
    const each = (ownCounts ? packageCost : 0) - prices[l]! * packageG;
    if (each < 0 && most < Infinity) bound += each * most;
    else if (each > 0) bound += each * least;
  }
  return bound;
}
