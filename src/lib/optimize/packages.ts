// Lots bought in whole packages: beside the uses of such a lot stands one more column, what is bought
// of it. The uses together take no more than it, it comes in whole packages, and it alone carries the
// price. A relaxation lets it be any amount, which never costs more than whole packages do, so every
// bound stays a bound; the search then branches on the number of packages as on weighing steps.
import { packagesFor } from '#engine/purchases.ts';
import { limitOn } from './limits.ts';
import type { BlendProblem, LinearLimit, Use } from './problem.ts';
import type { Doses } from './truth.ts';

/** What is bought of a lot, with the uses it is for. */
interface Bought {
  readonly column: number;
  /** g/L */
  readonly package: number;
  readonly uses: ReadonlySet<number>;
}

/** All that is bought, and what each use is taken from. */
interface Buying {
  readonly bought: readonly Bought[];
  readonly of: ReadonlyMap<number, Bought>;
}

const known = new WeakMap<readonly Use[], Buying>();

function buyingIn(uses: readonly Use[]): Buying {
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
      size === undefined ? [] : [{ column, package: size, uses: new Set(own.get(lot)) }],
    );
    const of = new Map(bought.flatMap((b) => [...b.uses].map((j) => [j, b] as const)));
    found = { bought, of };
    known.set(uses, found);
  }
  return found;
}

/** Whether whole packages are paid for in a problem. */
export function buysPackages({ uses }: BlendProblem): boolean {
  return buyingIn(uses).bought.length > 0;
}

/** The doses with the least packages that they need; the same where none are bought. */
export function withPackages(problem: BlendProblem, doses: Doses): Doses {
  const { bought, of } = buyingIn(problem.uses);
  if (bought.length === 0) return doses;
  const used = doses.uses.flatMap((j, k) =>
    problem.uses[j]!.package === undefined && doses.doses[k]! > 0 ? [k] : [],
  );
  const uses = used.map((k) => doses.uses[k]!);
  const amounts = used.map((k) => doses.doses[k]!);
  const taken = new Map<Bought, number>();
  uses.forEach((j, k) => {
    const from = of.get(j);
    if (from) taken.set(from, (taken.get(from) ?? 0) + amounts[k]!);
  });
  for (const [{ column, package: size }, dose] of taken) {
    uses.push(column);
    amounts.push(packagesFor(dose, size) * size);
  }
  return { uses, doses: amounts };
}

/** Step of a column, g/L: its package, else the weighing step; 0 where any dose will do. */
export function stepOf({ uses, step }: BlendProblem, use: number): number {
  return uses[use]!.package ?? step;
}

/** The rows that tie what is used of a lot to what is bought of it. */
export function packageLimits(uses: readonly Use[], nameOf: (use: Use) => string): LinearLimit[] {
  return buyingIn(uses).bought.map(({ column, uses: own }) => {
    const only = new Map([...own].map((j) => [j, 1]));
    only.set(column, -1);
    return limitOn(`package_g of ${nameOf(uses[column]!)}`, 0, only, uses.length);
  });
}
