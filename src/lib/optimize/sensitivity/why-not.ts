// Why a named hop is not in a blend: the best blend that must hold it, and what would have to be
// better of the hop for it to pay where the wishes stand, at the prices they have in the blend shown.
import type { Blend, Lever, LeverNeed, WhyNot } from '#shared/answers/answer.ts';
import { isThiol, type CompoundId } from '#shared/ids.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { nameKey } from '#shared/name-key.ts';
import type { Model } from '#engine/tables/model.ts';
import { gradientOf, wishOf, type Bound } from './bounds.ts';
import { additionsOf } from '#optimize/problem/check.ts';
import { varietyKey } from '#optimize/problem/candidates.ts';
import { fixedObjective } from '#optimize/problem/fixed-additions.ts';
import type { Clock, Resting } from '#optimize/pacing/clock.ts';
import { unstepped, type SettledBlend } from './shadow-prices.ts';
import { fixedSupport } from '#optimize/search/fixed-support.ts';
import { stating } from '#optimize/problem/stating.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { Search } from '#optimize/search/search.ts';
import { boundsOf } from './wish-bounds.ts';

/** The model without the odour of some compounds: a column's figures in it are the part of the others. */
function withoutOdour(model: Model, thiols: boolean): Model {
  return {
    ...model,
    weights: model.weights.filter(
      ({ driver }) => driver === 'leaf' || isThiol(driver as CompoundId) !== thiols,
    ),
  };
}

/**
 * What one more g/L of a column saves at the blend's prices; where the load `stays`, by what it brings
 * itself and not by what its load takes from the others.
 */
function worthOf(
  problem: BlendProblem,
  { at, chosen }: SettledBlend,
  column: number,
  load: 'follows' | 'stays',
): number {
  // The chosen columns and this one, this one at no dose.
  const wider = fixedSupport(problem, [...chosen, column], 0);
  const x = Float64Array.from([...at.x, 0]);
  const bounds = boundsOf(wider, x);
  let worth = 0;
  for (const { bound, multiplier } of at.binding) {
    if (bound.unit === 'g') continue;
    const same = sameBound(bounds, bound, at.bounds);
    worth += multiplier * gradientOf(same, wider, x, load)[chosen.length]!;
  }
  return worth;
}

/** The bound of a wider problem that says the same: the same wish and place among its like. */
function sameBound(wider: readonly Bound[], bound: Bound, bounds: readonly Bound[]): Bound {
  const like = (b: Bound) => wishOf(b) === wishOf(bound) && b.side === bound.side;
  return wider.filter(like)[bounds.filter(like).indexOf(bound)]!;
}

interface Worth {
  readonly column: number;
  /** Objective spent and saved per g/L. */
  readonly spent: number;
  readonly saved: number;
}

/** For each lever the column of the hop where the least change of it would do. */
function* leverNeeds(
  model: Model,
  brief: Brief,
  settled: SettledBlend,
  worths: readonly Worth[],
  clock: Clock,
): Resting<LeverNeed[]> {
  const { whole } = settled;
  const need = (
    lever: Lever,
    factorOf: (worth: Worth) => number | null,
    better: (a: number, b: number) => boolean,
  ): LeverNeed => {
    const place = ({ column }: Worth) => {
      const { form, stage } = whole.columns[column]!;
      if (stage === null) throw new Error('what is left over is no addition');
      return { form, stage };
    };
    let best: LeverNeed = { lever, ...place(worths[0]!), factor: null };
    for (const worth of worths) {
      const factor = factorOf(worth);
      if (factor === null || (best.factor !== null && !better(factor, best.factor))) continue;
      best = { lever, ...place(worth), factor };
    }
    return best;
  };
  /** spent = saved + (factor - 1) part, where `part` is what these compounds save. */
  const times = function* (thiols: boolean): Resting<(worth: Worth) => number | null> {
    const stated = yield* stating(withoutOdour(model, thiols), unstepped(brief));
    if (!stated.ok) return () => null;
    const parts = new Map<number, number>();
    for (const { column } of worths) {
      if (clock.over) break;
      const others = worthOf(stated.value, settled, column, 'stays');
      parts.set(column, worthOf(whole, settled, column, 'stays') - others);
      yield;
    }
    return ({ column, spent, saved }) => {
      const part = parts.get(column) ?? 0;
      const factor = 1 + (spent - saved) / part;
      return part > 1e-12 * Math.abs(saved) && Number.isFinite(factor) ? factor : null;
    };
  };
  const less = (a: number, b: number) => a < b;
  const needs = [need('oil', yield* times(false), less), need('thiols', yield* times(true), less)];
  // Where time ran out, the answer does not say that nothing would do.
  if (clock.over) return [];
  if (brief.minimise === 'cost') {
    const share = ({ spent, saved }: Worth) => (saved > 0 && spent > 0 ? saved / spent : null);
    needs.push(need('price', share, (a, b) => a > b));
  }
  return needs;
}

/**
 * Why a hop is not in the blend of `settled` (`null` where that could not be settled).
 * @param clock says when to stop proving.
 */
export function* whyNot(
  model: Model,
  brief: Brief,
  problem: BlendProblem,
  blend: Blend,
  settled: SettledBlend | null,
  objective: number,
  hop: string,
  clock: Clock,
): Generator<undefined, WhyNot> {
  const key = varietyKey(model, hop);
  const none = { hop, reason: null, with_it: null, reduced_cost_per_g: null, levers: [] };
  if (blend.additions.some((a) => nameKey(a.hop) === key)) return { ...none, verdict: 'in_blend' };
  const variety = problem.varieties.findIndex((v) => nameKey(v) === key);
  if (variety < 0) {
    const reason = problem.leftOut.find((l) => nameKey(l.hop) === key)?.reason;
    return {
      ...none,
      verdict: 'left_out',
      reason: reason ?? 'it is not among the candidates, or its limits leave room for none of it',
    };
  }
  const room = problem.required.length < problem.hopsAtMost;
  const search = new Search(
    { ...problem, required: [...problem.required, variety] },
    'objective',
    0,
    0,
  );
  while (room && search.step()) {
    if (clock.over) break;
    yield;
  }
  const { incumbent, bound, done } = search.state;
  const base = fixedObjective(problem.fixed, brief);
  const withIt = incumbent && {
    additions: additionsOf(problem, brief, incumbent.doses).documents.map(
      ({ hop: name, form, stage, grams }) => ({ hop: name, form, stage, grams }),
    ),
    objective: base + incumbent.merit,
    lower_bound: base + bound,
    extra: base + incumbent.merit - objective,
  };
  const verdict = withIt ? 'dearer' : !room || done ? 'impossible' : 'undecided';
  const { hops_at_most: hops = Infinity, additions_at_most: additions = Infinity } = brief.limits;
  const tight = additions < hops ? 'limits.additions_at_most' : 'limits.hops_at_most';
  const reason = room ? null : `${tight} leaves no room beside the required hops`;
  const found = { ...none, verdict, reason, with_it: withIt } as const;
  if (!settled) return found;
  const { whole } = settled;
  const columns = whole.columns.flatMap((c, j) =>
    nameKey(whole.varieties[c.variety]!) === key ? [j] : [],
  );
  const worths: Worth[] = [];
  for (const column of columns) {
    if (clock.over) return found;
    const saved = worthOf(whole, settled, column, 'follows');
    worths.push({ column, spent: whole.objective[column]!, saved });
    yield;
  }
  worths.sort((a, b) => a.spent - a.saved - (b.spent - b.saved));
  const [best] = worths;
  if (!best) return found;
  return {
    ...found,
    reduced_cost_per_g: (best.spent - best.saved) / problem.beerL,
    levers: best.spent > best.saved ? yield* leverNeeds(model, brief, settled, worths, clock) : [],
  };
}
