// The blend whose wishes hold in a share of lots: lots vary from one to the next, so a blend made for
// their middle figures holds in few. Only what is in the lots is drawn: thresholds and parameters are the
// same for every lot, so no choice of lots can make up for them. The search is chance-search.ts; here it is
// given its time, and the engine judges what it found in fresh draws.
import type { Hold } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Model } from '#engine/tables/model.ts';
import { additionsOf } from '#optimize/problem/check.ts';
import { fixedObjective } from '#optimize/problem/fixed-additions.ts';
import { buysPackages } from '#optimize/problem/packages.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { LOT_SAMPLING, shareHeld } from '#optimize/problem/chance.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { objectiveOf } from '#optimize/problem/evaluation.ts';
import type { Sampling } from '#engine/doubt/sampling.ts';
import { run, type Run, type RunBudget } from '#optimize/pacing/clock.ts';
import { CHANCE_SAMPLING, ChanceDraws } from './chance-draws.ts';
import { ChanceSearch, type ChanceState, type MiddleBlend } from './chance-search.ts';
import { easedFor } from './easing.ts';
import { worldsOf } from './scenarios.ts';

export interface Robust {
  readonly doses: Doses;
  readonly hold: Hold;
  /** Proven lower bound on the objective of any blend that holds in the share sought. */
  readonly lower_bound: number;
}

/** Why no blend of a brief is sought that holds in a share of lots; `null` where one is. */
export function unsoughtFor({ minimise }: Brief, problem: BlendProblem): string | null {
  if (buysPackages(problem)) return 'hops are bought in whole packages';
  return minimise === 'closest' ? 'the brief asks for the closest match' : null;
}

/**
 * The best blend found whose wishes and bitterness window hold in the middle lots and in at least
 * `share` of drawn ones. Where none is found: the one that holds in most, and `reached` is false.
 * `lower_bound` holds for every blend that holds in the share sought. A stop ends it with what is found by then.
 */
export function* holding<P>(
  model: Model,
  brief: Brief,
  problem: BlendProblem,
  middle: MiddleBlend,
  share: number,
  { clock, until, progress }: RunBudget<P, [state: ChanceState]>,
): Run<P, Robust> {
  const search = new ChanceSearch(new ChanceDraws(model, brief, problem), share, middle);
  yield* run(clock, search, until, () => progress(search.state));
  const { best, widest, bound, shareAtMost } = search.state;
  const doses = best?.doses ?? widest?.doses ?? middle.doses;
  const judged = yield* heldByEngine(model, brief, problem, [doses, middle.doses], () =>
    progress(search.state),
  );
  const [held, heldInMiddle] = judged.seen;
  const reached = held! >= share - 1e-9;
  const enough = Math.ceil(share * CHANCE_SAMPLING.samples - 1e-9);
  return {
    doses,
    lower_bound: fixedObjective(problem.fixed, brief) + (bound < Infinity ? bound : middle.bound),
    hold: {
      wanted: share,
      share: held!,
      reached,
      sought: search.judge.needed / CHANCE_SAMPLING.samples,
      scenarios: CHANCE_SAMPLING.samples,
      seed: CHANCE_SAMPLING.seed,
      fresh: { share: judged.fresh, scenarios: LOT_SAMPLING.samples, seed: LOT_SAMPLING.seed },
      central_share: heldInMiddle!,
      extra: objectiveOf(problem, doses) - objectiveOf(problem, middle.doses),
      share_at_most: shareAtMost,
      eased: reached ? null : easedFor(search.judge.missedFigures(doses), enough),
    },
  };
}

/** The share of draws in which blends hold, by the engine: those chosen by, and fresh ones for the first. */
function* heldByEngine<P>(
  model: Model,
  brief: Brief,
  problem: BlendProblem,
  blends: readonly Doses[],
  progress: () => P,
): Run<P, { readonly seen: readonly number[]; readonly fresh: number }> {
  const { name, batch, stages } = brief;
  const made = blends.map((doses) => {
    const { lots: additions } = additionsOf(problem, brief, doses);
    return { name, batch, stages, additions };
  });
  // Lots draw by their place among those of the same hop: all are counted, few are looked at.
  const lots = new Set([
    ...problem.offers.map((o) => o.lot),
    ...problem.fixed.additions.map((a) => a.lot),
  ]);
  const looked = new Set(made.flatMap(({ additions }) => additions.map((a) => a.lot)));
  const worlds = ({ samples, seed }: Sampling) => worldsOf(model, lots, samples, seed, looked);
  const chosenBy = worlds(CHANCE_SAMPLING);
  const seen: number[] = [];
  for (const design of made) {
    seen.push(shareHeld(model, brief, design, chosenBy));
    yield progress();
  }
  const fresh = shareHeld(model, brief, made[0]!, worlds(LOT_SAMPLING));
  yield progress();
  return { seen, fresh };
}
