// Lots bought in whole packages: beside the columns of such a lot stands one more column, what is left
// over of its packages. Used and left over together come in whole packages. A gram used has the price of a
// gram; one left over too, less what the brief says that it keeps of it, so never less than nothing. A relaxation
// leaves nothing over, which never costs more than whole packages do, so every bound stays a bound; the search
// then branches on which lots are opened, and how often.
import type { GramsPerLitre } from '#shared/units.ts';
import { packagesFor } from '#engine/predict/purchases.ts';
import type { BlendProblem, Column } from './problem.ts';
import type { Doses } from './doses.ts';

/** Share of a package that is rounding and no left-over. */
const ROUNDING = 1e-9;
/**
 * Share by which a relaxed blend may take more than whole packages and still count as keeping to them: more than
 * its rows allow as rounding, less than the check of the trimmed blend allows.
 */
const TRIMMED = 5e-8;
/** Part of a package that may lack to a whole one: it is left over. */
const WHOLE = 1e-6;

/** A lot that is bought in whole packages. */
export interface Bought {
  /** What is left over of it. */
  readonly leftOver: number;
  /** One package, g/L. */
  readonly package: GramsPerLitre;
  readonly columns: readonly number[];
}

/** All that is bought, and by column or left-over column which of them it belongs to, else -1. */
export interface Buying {
  readonly bought: readonly Bought[];
  readonly of: Int32Array;
}

const NOTHING: ReadonlyMap<number, number> = new Map();
const known = new WeakMap<readonly Column[], Buying>();

/** What is bought for these columns; made once for a list of columns. */
export function buyingIn(columns: readonly Column[]): Buying {
  let found = known.get(columns);
  if (!found) {
    const bought: { leftOver: number; package: GramsPerLitre; columns: number[] }[] = [];
    const ofLot = new Map<number, number>();
    columns.forEach(({ lot, package: size }, leftOver) => {
      if (size === undefined) return;
      ofLot.set(lot, bought.length);
      bought.push({ leftOver, package: size, columns: [] });
    });
    const of = new Int32Array(columns.length).fill(-1);
    // Nothing more to go through where no lot is bought in packages.
    for (let j = 0; j < columns.length && bought.length > 0; j += 1) {
      const { lot, package: size } = columns[j]!;
      const b = ofLot.get(lot);
      if (b === undefined) continue;
      of[j] = b;
      if (size === undefined) bought[b]!.columns.push(j);
    }
    found = { bought, of };
    known.set(columns, found);
  }
  return found;
}

/** Whether a problem buys lots in whole packages. */
export function buysPackages({ columns }: BlendProblem): boolean {
  return buyingIn(columns).bought.length > 0;
}

/** Least objective of one package: that of one of which all is left over. Where this is worth nothing, its price. */
export function packageObjective(
  { objective }: BlendProblem,
  { leftOver, package: size }: Bought,
): number {
  return objective[leftOver]! * size;
}

/** What doses take of each lot that is bought, left-over included, in packages; by number of the lot. */
export function packagesIn({ columns }: BlendProblem, doses: Doses): ReadonlyMap<number, number> {
  const { bought, of } = buyingIn(columns);
  if (bought.length === 0) return NOTHING;
  const taken = new Map<number, number>();
  doses.columns.forEach((j, k) => {
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

/** Dose that is rounding and no dose, g/L. */
const NO_DOSE = 1e-8;

/** The doses less those that are only rounding, and trimmed where rounding alone would open one more package. */
export function withoutRounding(problem: BlendProblem, found: Doses): Doses {
  const kept = found.doses.flatMap((dose, k) => (dose > NO_DOSE ? [k] : []));
  const doses = {
    columns: kept.map((k) => found.columns[k]!),
    doses: kept.map((k) => found.doses[k]!),
  };
  const over = [...packagesIn(problem, doses)].filter(
    ([, count]) => count > Math.round(count) && wholePackages(count),
  );
  if (over.length === 0) return doses;
  const { of } = buyingIn(problem.columns);
  const shares = new Map(over.map(([b, count]) => [b, Math.round(count) / count]));
  const { columns } = doses;
  return {
    columns,
    doses: doses.doses.map((dose, k) => dose * (shares.get(of[columns[k]!]!) ?? 1)),
  };
}

/** The doses with what is left over of the least packages that they need. */
export function withPackages(problem: BlendProblem, doses: Doses): Doses {
  const { bought } = buyingIn(problem.columns);
  if (bought.length === 0) return doses;
  const used = doses.columns.flatMap((j, k) =>
    problem.columns[j]!.package === undefined && doses.doses[k]! > 0 ? [k] : [],
  );
  const columns = used.map((k) => doses.columns[k]!);
  const amounts = used.map((k) => doses.doses[k]!);
  for (const [b, packages] of packagesIn(problem, { columns, doses: amounts })) {
    const { leftOver, package: size } = bought[b]!;
    const left = (packagesFor(packages, 1) - packages) * size;
    if (left <= ROUNDING * size) continue;
    columns.push(leftOver);
    amounts.push(left);
  }
  return { columns, doses: amounts };
}
