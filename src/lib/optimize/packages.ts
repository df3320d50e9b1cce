// Lots bought in whole packages: beside the uses of such a lot stands one more column, what is bought
// of it. The uses together take no more than it, it comes in whole packages, and it alone carries the
// price. A relaxation lets it be any amount, which never costs more than whole packages do, so every
// bound stays a bound; the search then branches on the number of packages as on weighing steps.
import { packagesFor } from '#engine/purchases.ts';
import type { BlendProblem, LinearLimit, Use } from './problem.ts';
import type { Doses } from './truth.ts';

/** What is bought of a lot, with the uses it is for. */
interface Bought {
  readonly column: number;
  /** g/L */
  readonly package: number;
  readonly uses: ReadonlySet<number>;
}

const boughtIn = new WeakMap<readonly Use[], readonly Bought[]>();

function boughtOf(uses: readonly Use[]): readonly Bought[] {
  let found = boughtIn.get(uses);
  if (!found) {
    found = uses.flatMap(({ lot, package: size }, column) => {
      if (size === undefined) return [];
      const own = uses.flatMap((u, j) => (u.lot === lot && u.package === undefined ? [j] : []));
      return [{ column, package: size, uses: new Set(own) }];
    });
    boughtIn.set(uses, found);
  }
  return found;
}

/** Whether whole packages are paid for in a problem. */
export function buysPackages({ uses }: BlendProblem): boolean {
  return boughtOf(uses).length > 0;
}

/** The doses with the least packages that they need; the same where none are bought. */
export function withPackages(problem: BlendProblem, doses: Doses): Doses {
  const bought = boughtOf(problem.uses);
  if (bought.length === 0) return doses;
  const used = doses.uses.flatMap((j, k) =>
    problem.uses[j]!.package === undefined && doses.doses[k]! > 0 ? [k] : [],
  );
  const uses = used.map((k) => doses.uses[k]!);
  const amounts = used.map((k) => doses.doses[k]!);
  const taken = bought.map((b) =>
    uses.reduce((sum, j, k) => sum + (b.uses.has(j) ? amounts[k]! : 0), 0),
  );
  bought.forEach(({ column, package: size }, i) => {
    if (taken[i] === 0) return;
    uses.push(column);
    amounts.push(packagesFor(taken[i]!, size) * size);
  });
  return { uses, doses: amounts };
}

/** Step of a column, g/L: its package, else the weighing step; 0 where any dose will do. */
export function stepOf({ uses, step }: BlendProblem, use: number): number {
  return uses[use]!.package ?? step;
}

/** The rows that tie what is used of a lot to what is bought of it. */
export function packageLimits(uses: readonly Use[], nameOf: (use: Use) => string): LinearLimit[] {
  return boughtOf(uses).map((b) => ({
    name: `package_g of ${nameOf(uses[b.column]!)}`,
    coef: Float64Array.from(uses, (_, j) => (b.uses.has(j) ? 1 : j === b.column ? -1 : 0)),
    most: 0,
    taken: 0,
  }));
}
