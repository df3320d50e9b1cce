// Columns that need not be looked at because another of the same hop at the same stage is as good in all
// that counts: whatever a blend has of the one, it may have of the other. Nothing else would change:
// the hops in the blend and the dry-hop load stay, and a dose only grows. Where a hop may come in so many
// forms only, a column gives way to one of its own form, or a form gives way as a whole.
import { FORMS, type FormId } from '#shared/ids.ts';
import { Effort, type Resting } from '#optimize/pacing/clock.ts';
import { coefOf, limitIndexOf } from '#optimize/problem/limits.ts';
import { buyingIn } from '#optimize/problem/packages.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';

/** Columns of one hop at one stage the others are compared with, at most. */
const FRONT_MOST = 256;
/** Figures compared of two columns on average: most comparisons end at one of the first. */
const FIGURES_LOOKED_AT = 8;
const NONE: readonly number[] = [];

/** A figure of every column, and whether more of it, less of it, or neither is as good. */
interface JudgedFigure {
  readonly vector: Float64Array;
  readonly good: 'more' | 'less' | 'same';
}

function goodOf(least: boolean, most: boolean): JudgedFigure['good'] {
  if (least && most) return 'same';
  return least ? 'more' : 'less';
}

/** All a blend is judged by, column by column; a kind of limit not named here would void the rule. */
function figuresOf({ objective, axes, bitter, limits }: BlendProblem): JudgedFigure[] {
  const figures: JudgedFigure[] = [{ vector: objective, good: 'less' }];
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

/** Compares columns in all that a blend is judged by. */
class Ledger {
  readonly #problem: BlendProblem;
  readonly #figures: readonly JudgedFigure[];

  constructor(problem: BlendProblem) {
    this.#problem = problem;
    this.#figures = figuresOf(problem);
  }

  /** Whether `a` is as good as `b` in every figure; of two that are the same, the first is. */
  asGood(a: number, b: number): boolean {
    // `a` may not count more against any limit than `b` does.
    const { narrow } = limitIndexOf(this.#problem);
    const [own, held] = [narrow.get(a) ?? NONE, narrow.get(b) ?? NONE];
    const { limits } = this.#problem;
    for (const l of own) {
      const limit = limits[l]!;
      if (coefOf(limit, a) > 0 && coefOf(limit, b) < coefOf(limit, a)) return false;
    }
    for (const l of held) {
      const limit = limits[l]!;
      if (coefOf(limit, b) < 0 && coefOf(limit, a) > coefOf(limit, b)) return false;
    }
    let better = a < b || held.length > own.length;
    for (const { vector, good } of this.#figures) {
      const [x, y] = [vector[a]!, vector[b]!];
      if (x === y) continue;
      if (good === 'same' || (good === 'more' ? x < y : x > y)) return false;
      better = true;
    }
    return better;
  }
}

/**
 * The columns less those dominated by one that `never` is full: no blend worth finding has as much of it
 * as there may be, so that it has room for what the other held. Of thousands of columns of one hop at one
 * stage some dominated ones may stay.
 */
export function* undominated(
  problem: BlendProblem,
  among: Int32Array,
  neverFull: (column: number) => boolean,
  effort = new Effort(),
): Resting<Int32Array> {
  const ledger = new Ledger(problem);
  const { columns } = problem;
  const byForm = problem.formsPerHopAtMost < Infinity;
  const groups = new Map<number, number[]>();
  const stages = new Map<string, number>();
  for (const j of among) {
    const { variety, stage, form } = columns[j]!;
    if (stage === null) continue;
    let at = stages.get(stage);
    if (at === undefined) stages.set(stage, (at = stages.size));
    const place = at * problem.varieties.length + variety;
    const key = byForm ? place * FORMS.length + FORMS.indexOf(form) : place;
    const group = groups.get(key);
    if (group) group.push(j);
    else groups.set(key, [j]);
  }
  const dropped = new Set<number>();
  // More of a lot that is bought may open a package more, whatever a gram of it costs.
  const { of } = buyingIn(columns);
  const mayReplace = (j: number) => of[j]! < 0 && neverFull(j);
  for (const group of groups.values()) {
    if (group.length < 2) continue;
    // A column dominated by a dominated one is dominated by that one's dominator too, so the rest need not be compared.
    const front: number[] = [];
    for (const round of ['first', 'again'] as const) {
      for (const b of group) {
        if (effort.due) {
          yield;
          effort.rested();
        }
        if (dropped.has(b)) continue;
        effort.spend(front.length * FIGURES_LOOKED_AT);
        if (front.some((a) => a !== b && ledger.asGood(a, b))) dropped.add(b);
        else if (round === 'first' && front.length < FRONT_MOST && mayReplace(b)) front.push(b);
      }
    }
  }
  const left = dropped.size === 0 ? among : among.filter((j) => !dropped.has(j));
  return byForm ? yield* withoutForms(problem, left, ledger, mayReplace, effort) : left;
}

/** The columns less those of a form of a hop of which each has a better one in another form at its stage. */
function* withoutForms(
  { columns }: BlendProblem,
  among: Int32Array,
  ledger: Ledger,
  mayReplace: (column: number) => boolean,
  effort: Effort,
): Resting<Int32Array> {
  const hops = new Map<number, Map<FormId, number[]>>();
  for (const j of among) {
    const { variety, form, stage } = columns[j]!;
    if (stage === null) continue;
    let forms = hops.get(variety);
    if (!forms) hops.set(variety, (forms = new Map()));
    const own = forms.get(form);
    if (own) own.push(j);
    else forms.set(form, [j]);
  }
  const dropped = new Set<number>();
  for (const forms of hops.values()) {
    for (const [form, own] of forms) {
      for (const [other, better] of forms) {
        if (other === form) continue;
        const front = better.filter(mayReplace).slice(0, FRONT_MOST);
        effort.spend(own.length * front.length * FIGURES_LOOKED_AT);
        if (effort.due) {
          yield;
          effort.rested();
        }
        const gives = (b: number) =>
          front.some((a) => columns[a]!.stage === columns[b]!.stage && ledger.asGood(a, b));
        if (!own.every(gives)) continue;
        for (const j of own) dropped.add(j);
        forms.delete(form);
        break;
      }
    }
  }
  return dropped.size === 0 ? among : among.filter((j) => !dropped.has(j));
}
