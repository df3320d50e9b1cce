// Rows that hold for whole packages and cut off relaxed blends that open parts of one. A row of the relaxation, or
// a sum of such rows, says that what is bought brings at least so much: gain of a package * z + s >= need, with z
// the packages of each lot, in whole numbers, and s what comes from lots bought by the gram. Rounded (mixed-
// integer rounding, Nemhauser and Wolsey 1990) it says how many packages that takes at least.
import { buyingIn, type Bought } from '#optimize/problem/packages.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';

/** coef.x >= 1 for every blend in whole packages that is worth having. */
export interface Cut {
  readonly coef: Float64Array;
}

/** gain.x >= need for every blend worth having. */
export interface CoverRow {
  readonly gain: Float64Array;
  readonly need: number;
}

/** Rows of a program summed by weights. */
export interface WeighedRow extends CoverRow {
  /** Sum of the sizes of the right sides; a need that is a tiny part of it may be rounding. */
  readonly size: number;
}

/** What whole packages must bring: gains summed over the packages + loose * (what is paid by the gram) >= 1. */
export interface PackageCover {
  /** What one package of each lot brings at most, by number of the lot. */
  readonly gains: Float64Array;
  /** What lots bought by the gram bring at most for one unit of the objective. */
  readonly loose: number;
}

/** Share of its right side by which doses must break a cut for it to be taken. */
const BROKEN = 1e-3;
/** Figures are moved by so much to the safe side, for the rounding of sums. */
const ROUNDING = 1e-7;
/** Gains tried as divisors: those of so many opened lots. */
const GAINS_TRIED = 20;
/** A need below this part of the sizes it was summed from may be rounding. */
const NEED_LEAST = 1e-6;
/** Least part of a whole that rounding may leave: below it the coefficients of a cut grow very large. */
const PART_LEAST = 0.01;

/** A right side rounded up, and the part of a whole that was there: above 0, at most 1. */
interface Right {
  readonly whole: number;
  readonly part: number;
}

/**
 * The cut of a row that relaxed doses break most; `null` where they break none.
 * @param row valid for every blend worth having.
 */
export function cutOf(
  problem: BlendProblem,
  { gain, need }: CoverRow,
  { columns, doses }: Doses,
): Cut | null {
  if (!(need > 0)) return null;
  const { bought, of } = buyingIn(problem.columns);
  const gains = Float64Array.from(bought, (b) => gainOfPackage(problem, b, gain));
  const packages = new Map<number, number>();
  let loose = 0;
  columns.forEach((j, k) => {
    const b = of[j]!;
    if (b < 0) loose += Math.max(0, gain[j]!) * doses[k]!;
    else packages.set(b, (packages.get(b) ?? 0) + doses[k]! / bought[b]!.package);
  });
  // Just above the need, its half and its third, and what one package brings of the lots that are opened.
  const divisors = [1, 2, 3].map((n) => (need / n) * (1 + 1e-4));
  divisors.push(...[...packages.keys()].slice(0, GAINS_TRIED).map((b) => gains[b]!));
  let best = { divisor: 0, left: 1 - BROKEN };
  for (const divisor of divisors) {
    if (!(divisor > 0)) continue;
    const right = roundedUp(need / divisor);
    if (right.part < PART_LEAST) continue;
    let left = looseShare(loose / divisor, right);
    for (const [b, z] of packages) left += z * packageShare(gains[b]! / divisor, right);
    if (left < best.left) best = { divisor, left };
  }
  const { divisor } = best;
  if (divisor === 0) return null;
  const right = roundedUp(need / divisor);
  const coef = Float64Array.from(gain, (g, j) => {
    const b = of[j]!;
    if (b < 0) return looseShare(Math.max(0, g) / divisor, right);
    return packageShare(gains[b]! / divisor, right) / bought[b]!.package;
  });
  return { coef };
}

/** The cover of whole packages that a row asks for; `null` where it asks for nothing, or no more than rounding. */
export function packageCoverOf(
  problem: BlendProblem,
  { gain, need, size }: WeighedRow,
): PackageCover | null {
  if (!(need > NEED_LEAST * size)) return null;
  const { bought, of } = buyingIn(problem.columns);
  let loose = 0;
  for (let j = 0; j < gain.length; j += 1) {
    if (of[j]! < 0 && gain[j]! > 0) loose = Math.max(loose, gain[j]! / problem.objective[j]!);
  }
  const safe = need * (1 - ROUNDING);
  return {
    gains: Float64Array.from(bought, (b) => gainOfPackage(problem, b, gain) / safe),
    loose: (loose * (1 + ROUNDING)) / safe,
  };
}

/** Most that one package brings to a row: its grams put where they bring most, or left over. */
function gainOfPackage(
  { columns }: BlendProblem,
  { leftOver, columns: own, package: size }: Bought,
  gain: Float64Array,
): number {
  const order = [...own, leftOver].filter((j) => gain[j]! > 0).sort((a, b) => gain[b]! - gain[a]!);
  let left = size;
  let sum = 0;
  for (const j of order) {
    const dose = Math.min(left, columns[j]!.most);
    sum += dose * gain[j]!;
    left -= dose;
  }
  return sum * (1 + ROUNDING);
}

function roundedUp(right: number): Right {
  const safe = right * (1 - ROUNDING);
  const whole = Math.ceil(safe);
  return { whole, part: safe - (whole - 1) };
}

/** Coefficient in a cut of a package that brings so much, as a share of the cut's right side. */
function packageShare(gain: number, { whole, part }: Right): number {
  const floor = Math.floor(gain);
  return Math.min(whole, floor + Math.min(1, (gain - floor) / part)) / whole;
}

/** The same of what is bought by the gram. */
function looseShare(gain: number, { whole, part }: Right): number {
  return gain / part / whole;
}
