// Lots bought in whole packages: beside the uses of such a lot stands one more column, what is left
// over of its packages. Used and left over together come in whole packages, and a gram of either has
// the price of a gram. A relaxation leaves nothing over, which never costs more than whole packages
// do, so every bound stays a bound; the search then branches on which lots are opened, and how often.
import { packagesFor } from '#engine/predict/purchases.ts';
import type { BlendProblem, Use } from './problem.ts';
import type { Doses } from './doses.ts';

/** Share of a package that is rounding and no left-over. */
const ROUNDING = 1e-9;
/**
 * Share by which a relaxed blend may take more than whole packages and still be told to keep to them: above
 * what its rows forgive, below what a check of the trimmed blend does.
 */
const TRIMMED = 5e-8;
/** Part of a package that may lack to a whole one: it is left over. */
const WHOLE = 1e-6;

/** A lot that is bought in whole packages. */
export interface Bought {
  /** What is left over of it. */
  readonly column: number;
  /** One package, g/L. */
  readonly package: number;
  readonly uses: readonly number[];
}

/** All that is bought, and by use or left-over column which of them it belongs to, else -1. */
export interface Buying {
  readonly bought: readonly Bought[];
  readonly of: Int32Array;
}

const NOTHING: ReadonlyMap<number, number> = new Map();
const known = new WeakMap<readonly Use[], Buying>();

/** What is bought for these uses; made once for a list of uses. */
export function buyingIn(uses: readonly Use[]): Buying {
  let found = known.get(uses);
  if (!found) {
    const own = new Map<number, number[]>();
    uses.forEach(({ lot, package: size }, j) => {
      if (size !== undefined) return;
      const there = own.get(lot);
      if (there) there.push(j);
      else own.set(lot, [j]);
    });
    const bought = uses.flatMap(({ lot, package: size }, column) =>
      size === undefined ? [] : [{ column, package: size, uses: own.get(lot) ?? [] }],
    );
    const of = new Int32Array(uses.length).fill(-1);
    bought.forEach((b, i) => {
      for (const j of [b.column, ...b.uses]) of[j] = i;
    });
    found = { bought, of };
    known.set(uses, found);
  }
  return found;
}

/** Whether whole packages are paid for in a problem. */
export function buysPackages({ uses }: BlendProblem): boolean {
  return buyingIn(uses).bought.length > 0;
}

/** Objective of one package. */
export function packageObjective(
  { objective }: BlendProblem,
  { column, package: size }: Bought,
): number {
  return objective[column]! * size;
}

/** What doses take of each lot that is bought, left-over included, in packages; by number of the lot. */
export function packagesIn({ uses }: BlendProblem, doses: Doses): ReadonlyMap<number, number> {
  const { bought, of } = buyingIn(uses);
  if (bought.length === 0) return NOTHING;
  const taken = new Map<number, number>();
  doses.uses.forEach((j, k) => {
    const b = of[j]!;
    if (b >= 0) taken.set(b, (taken.get(b) ?? 0) + doses.doses[k]! / bought[b]!.package);
  });
  return taken;
}

/** Whether so many packages are whole ones but for the rounding of a linear program. */
export function wholePackages(count: number): boolean {
  const whole = Math.round(count);
  return count - whole <= TRIMMED * whole && whole - count <= WHOLE;
}

/** The doses of each lot taken down to whole packages where rounding alone would open one more. */
export function trimmedToPackages(problem: BlendProblem, doses: Doses): Doses {
  const over = [...packagesIn(problem, doses)].filter(
    ([, count]) => count > Math.round(count) && wholePackages(count),
  );
  if (over.length === 0) return doses;
  const { of } = buyingIn(problem.uses);
  const shares = new Map(over.map(([b, count]) => [b, Math.round(count) / count]));
  const { uses } = doses;
  return { uses, doses: doses.doses.map((dose, k) => dose * (shares.get(of[uses[k]!]!) ?? 1)) };
}

/** The doses with what is left over of the least packages that they need. */
export function withPackages(problem: BlendProblem, doses: Doses): Doses {
  const { bought } = buyingIn(problem.uses);
  if (bought.length === 0) return doses;
  const used = doses.uses.flatMap((j, k) =>
    problem.uses[j]!.package === undefined && doses.doses[k]! > 0 ? [k] : [],
  );
  const uses = used.map((k) => doses.uses[k]!);
  const amounts = used.map((k) => doses.doses[k]!);
  for (const [b, packages] of packagesIn(problem, { uses, doses: amounts })) {
    const { column, package: size } = bought[b]!;
    const left = (packagesFor(packages, 1) - packages) * size;
    if (left <= ROUNDING * size) continue;
    uses.push(column);
    amounts.push(left);
  }
  return { uses, doses: amounts };
}
