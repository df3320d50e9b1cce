// Limits that only a few columns count against, such as the stock of one lot or the packages bought of it:
// with thousands of lots their coefficients are written out only where somebody asks for all of them.
import { wishPath, type WishSubject } from '#shared/answers/wish-subject.ts';
import type { BlendProblem, LimitOf, LinearLimit } from './problem.ts';

/** What of the brief a limit is; `null` for one that no brief states. */
export function limitSubject(of: LimitOf): WishSubject | null {
  switch (of.kind) {
    case 'leaf':
      return { kind: 'limit', limit: 'leaf_g_per_l_after_mash_at_most' };
    case 'cost':
      return { kind: 'limit', limit: 'cost_at_most' };
    case 'stage':
      return { kind: 'stage', stage: of.stage };
    case 'stock':
      return { kind: 'stock', hop: of.hop };
    case 'share':
      return { kind: 'limit', limit: 'share_at_most' };
    case 'require':
      return { kind: 'required', hop: of.hop };
    case 'objective':
      return null;
  }
}

/** What a limit is called: its path in the brief, like `limits.cost_at_most`. */
export function limitName(of: LimitOf): string {
  const subject = limitSubject(of);
  return subject ? wishPath(subject) : 'the objective';
}

/** A limit of few of `n` columns, with what one g/L of each counts. */
export function limitOn(
  of: LimitOf,
  most: number,
  only: ReadonlyMap<number, number>,
  n: number,
): LinearLimit {
  return {
    of,
    most,
    taken: 0,
    only,
    get coef() {
      const coef = new Float64Array(n);
      for (const [j, a] of only) coef[j] = a;
      return coef;
    },
  };
}

/** What one g/L of a column counts against a limit. */
export function coefOf(limit: LinearLimit, column: number): number {
  return limit.only ? (limit.only.get(column) ?? 0) : limit.coef[column]!;
}

/**
 * The limits over some of the columns, in their order; those that none of them count against go. Of thousands of
 * lots most have a limit of their own: only those of the columns that stay are looked at.
 */
export function limitsOver(limits: readonly LinearLimit[], kept: readonly number[]): LinearLimit[] {
  const place = new Map(kept.map((j, k) => [j, k]));
  const { wide, narrow } = limitIndexOf({ limits });
  const own = new Set(wide);
  for (const j of kept) for (const l of narrow.get(j) ?? []) own.add(l);
  return [...own]
    .sort((a, b) => a - b)
    .map((l) => {
      const limit = limits[l]!;
      if (!limit.only) {
        const { coef } = limit;
        return { ...limit, coef: Float64Array.from(kept, (j) => coef[j]!) };
      }
      const only = new Map<number, number>();
      for (const [j, a] of limit.only) {
        const at = place.get(j);
        if (at !== undefined) only.set(at, a);
      }
      return limitOn(limit.of, limit.most, only, kept.length);
    });
}

/** The limits of a problem by number: those of many columns, and by column those of few. */
export interface LimitIndex {
  readonly wide: readonly number[];
  readonly narrow: ReadonlyMap<number, readonly number[]>;
}

const indexed = new WeakMap<readonly LinearLimit[], LimitIndex>();

/** The limits by the columns that count against them; made once for a list of limits. */
export function limitIndexOf({ limits }: Pick<BlendProblem, 'limits'>): LimitIndex {
  let found = indexed.get(limits);
  if (!found) {
    const narrow = new Map<number, number[]>();
    const wide: number[] = [];
    limits.forEach(({ only }, l) => {
      if (!only) wide.push(l);
      for (const j of only?.keys() ?? []) {
        const there = narrow.get(j);
        if (there) there.push(l);
        else narrow.set(j, [l]);
      }
    });
    found = { wide, narrow };
    indexed.set(limits, found);
  }
  return found;
}

/** The limits that doses of these columns can break, each once. */
export function limitsAgainst(
  problem: Pick<BlendProblem, 'limits'>,
  columns: readonly number[],
): readonly LinearLimit[] {
  const { limits } = problem;
  const { wide, narrow } = limitIndexOf(problem);
  if (wide.length === limits.length) return limits;
  const own = new Set(wide);
  for (const j of columns) for (const l of narrow.get(j) ?? []) own.add(l);
  return Array.from(own, (l) => limits[l]!);
}
