// Uses that need not be looked at because another of the same hop at the same stage is as good in all
// that counts: whatever a blend has of the one, it may have of the other. Nothing else would change:
// the hops in the blend and the dry-hop load stay, and a dose only grows.
import type { BlendProblem, LinearLimit } from './problem.ts';

/** A figure of every use, and whether more of it, less of it, or neither is as good. */
interface Figure {
  readonly vector: Float64Array;
  readonly good: 'more' | 'less' | 'same';
}

function goodOf(least: boolean, most: boolean): Figure['good'] {
  if (least && most) return 'same';
  return least ? 'more' : 'less';
}

/** All a blend is judged by, use by use; a kind of limit not named here would void the rule. */
function figuresOf({ objective, axes, bitter, limits }: BlendProblem): Figure[] {
  const figures: Figure[] = [{ vector: objective, good: 'less' }];
  for (const { direct, damped, low, high } of axes) {
    const good = goodOf(low > -Infinity, high < Infinity);
    for (const vector of [direct, ...damped]) figures.push({ vector, good });
  }
  if (bitter) {
    const good = goodOf(bitter.atLeast !== undefined, bitter.atMost !== undefined);
    figures.push({ vector: bitter.plain, good });
    // min(alpha.x, cap) grows with alpha.x.
    for (const { alpha } of bitter.terms) figures.push({ vector: alpha, good });
  }
  for (const limit of limits) if (!limit.only) figures.push({ vector: limit.coef, good: 'less' });
  return figures;
}

/** Limits of few uses, by the uses that count against them. */
type Narrow = ReadonlyMap<number, readonly LinearLimit[]>;

function narrowOf({ limits }: BlendProblem): Narrow {
  const narrow = new Map<number, LinearLimit[]>();
  for (const limit of limits) {
    for (const j of limit.only ?? []) narrow.set(j, [...(narrow.get(j) ?? []), limit]);
  }
  return narrow;
}

/** Whether `a` is as good as `b` in every figure; of two that are the same, the first is. */
function asGood(figures: readonly Figure[], narrow: Narrow, a: number, b: number): boolean {
  // What counts against a limit for `a` must do so for `b`.
  const held = narrow.get(b) ?? [];
  if ((narrow.get(a) ?? []).some((limit) => !held.includes(limit))) return false;
  let better = a < b || held.length > (narrow.get(a)?.length ?? 0);
  for (const { vector, good } of figures) {
    const [x, y] = [vector[a]!, vector[b]!];
    if (x === y) continue;
    if (good === 'same' || (good === 'more' ? x < y : x > y)) return false;
    better = true;
  }
  return better;
}

/**
 * The uses less those dominated by one that `never` is full: no blend worth finding has as much of it
 * as there may be, so that it has room for what the other held.
 */
export function undominated(
  problem: BlendProblem,
  columns: Int32Array,
  neverFull: (use: number) => boolean,
): Int32Array {
  const figures = figuresOf(problem);
  const narrow = narrowOf(problem);
  const { uses } = problem;
  const groups = new Map<string, number[]>();
  for (const j of columns) {
    const key = `${uses[j]!.variety}/${uses[j]!.stage}`;
    const group = groups.get(key);
    if (group) group.push(j);
    else groups.set(key, [j]);
  }
  const dropped = new Set<number>();
  for (const group of groups.values()) {
    if (group.length < 2) continue;
    for (const b of group) {
      // A dominated use still dominates: what dominates it dominates the same.
      if (group.some((a) => a !== b && neverFull(a) && asGood(figures, narrow, a, b)))
        dropped.add(b);
    }
  }
  return dropped.size === 0 ? columns : columns.filter((j) => !dropped.has(j));
}
