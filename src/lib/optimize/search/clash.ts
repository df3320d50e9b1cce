// The refusal where no blend was found that keeps the hard limits: a smallest set of them that clash, where it is
// proven that no blend keeps all; else that this is not known, and what to loosen.
import { failure, type Outcome, type Problem } from '#shared/outcome.ts';
import { allowedBlend } from './allowed.ts';
import { Clock, resting, type Resting, type Run, type RunBudget } from '#optimize/pacing/clock.ts';
import { limitName } from '#optimize/problem/limits.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';

/** Time for a refusal that must be quick, ms. */
const QUICK_MS = 100;

function required({ required: hops, varieties }: BlendProblem): string[] {
  return hops.length > 0 ? [`limits.require (${hops.map((v) => varieties[v]).join(', ')})`] : [];
}

/** The held bitterness window as limits of the brief. */
function heldWindow({ bitter }: BlendProblem): string[] {
  if (!bitter?.held) return [];
  const { atLeast, atMost } = bitter;
  return [
    ...(atLeast === undefined ? [] : ['limits.ibu_at_least']),
    ...(atMost === undefined ? [] : ['limits.ibu_at_most']),
  ];
}

/** The limits on counts beside that of hops. */
function counts({ additionsAtMost, formsPerHopAtMost }: BlendProblem): string[] {
  return [
    ...(additionsAtMost < Infinity ? ['limits.additions_at_most'] : []),
    ...(formsPerHopAtMost < Infinity ? ['limits.forms_per_hop_at_most'] : []),
  ];
}

/**
 * Names the limits that clash, by dropping one after another and keeping dropped those without which
 * the clash remains. Call only where it is proven that no blend keeps them; where time runs out, more
 * of them are named than need be.
 */
export function* clashOf<P>(problem: BlendProblem, budget: RunBudget<P>): Run<P, Problem> {
  let clash = problem;
  const drop = function* (less: BlendProblem): Run<P, void> {
    if ((yield* allowedBlend(less, budget)) === 'none') clash = less;
  };
  if (problem.bitter?.held) yield* drop({ ...problem, bitter: null });
  yield* drop({ ...clash, additionsAtMost: Infinity });
  yield* drop({ ...clash, formsPerHopAtMost: Infinity });
  for (const limit of problem.limits) {
    yield* drop({ ...clash, limits: clash.limits.filter((l) => l !== limit) });
  }
  const limits = clash.limits.map((l) => limitName(l.of));
  const held = [...heldWindow(clash), ...counts(clash), ...limits];
  const names = [...new Set(held), ...required(clash)];
  return {
    path: 'limits',
    message: `no blend keeps all of these: ${names.join(', ')}`,
    cure: 'Loosen one of them',
  };
}

/** Says that it is not known whether any blend keeps the hard limits. */
export function undecided(problem: BlendProblem, { stopped }: Clock): Problem {
  const { limits, step, least } = problem;
  const widened = [
    ...heldWindow(problem),
    ...(step > 0 ? ['limits.weigh_step_g'] : []),
    ...(least > step ? ['limits.smallest_addition_g'] : []),
    ...counts(problem),
    ...new Set(limits.map((l) => limitName(l.of))),
    ...required(problem),
  ];
  const when = stopped ? 'the search was stopped' : 'time ran out';
  return {
    path: 'limits',
    message: `${when} before a blend was found that keeps every limit or it was proven that none does`,
    cure: `Loosen one of these or give more time: ${widened.join(', ')}`,
  };
}

/** The refusal of a problem for which no blend was found, from a search of at most QUICK_MS. */
export function* refusing<T>(problem: BlendProblem): Resting<Outcome<T>> {
  const clock = new Clock(QUICK_MS);
  const budget = { clock, until: clock.deadline, progress: () => undefined };
  const allowed = yield* resting(allowedBlend(problem, budget));
  return failure(
    allowed === 'none' ? yield* resting(clashOf(problem, budget)) : undecided(problem, clock),
  );
}
