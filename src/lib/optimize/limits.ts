// Limits that only a few uses count against, such as the stock of one lot: with thousands of lots
// their coefficients are written out only where somebody asks for all of them.
import type { LinearLimit } from './problem.ts';

/** No more than `most` of these uses of `n` together, g/L. */
export function limitOn(
  name: string,
  most: number,
  only: readonly number[],
  n: number,
): LinearLimit {
  return {
    name,
    most,
    taken: 0,
    only,
    get coef() {
      const coef = new Float64Array(n);
      for (const j of only) coef[j] = 1;
      return coef;
    },
  };
}

/** What one g/L of a use counts against a limit. */
export function coefOf(limit: LinearLimit, use: number): number {
  if (limit.only) return limit.only.includes(use) ? 1 : 0;
  return limit.coef[use]!;
}

/** The limits over some of the uses, in their order; those that none of them count against go. */
export function limitsOver(limits: readonly LinearLimit[], kept: readonly number[]): LinearLimit[] {
  const place = new Map(kept.map((j, k) => [j, k]));
  return limits.flatMap((limit) => {
    if (!limit.only) {
      const { coef } = limit;
      return [{ ...limit, coef: Float64Array.from(kept, (j) => coef[j]!) }];
    }
    const only = limit.only.flatMap((j) => place.get(j) ?? []);
    return only.length > 0 ? [limitOn(limit.name, limit.most, only, kept.length)] : [];
  });
}
