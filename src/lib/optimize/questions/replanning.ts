// Designs the rest of a blend around what is kept: a wish missed by less than anybody notices counts as met, and a
// larger miss is closed only as far as it is worth the hops that this takes. What is least
// is the objective and the largest such miss at its price, exactly to a tenth of an intensity.
import type { DesignAnswer } from '#shared/answers/answer.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { INTENSITY_MAX } from '#shared/schemas/sizes.ts';
import { given } from '#shared/given.ts';
import type { GramsPerLitre } from '#shared/units.ts';
import { defaultValues, modelFor, type Model } from '#engine/tables/model.ts';
import { checking } from '#optimize/problem/check.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { objectiveOf, worstMiss } from '#optimize/problem/evaluation.ts';
import { fixedObjective } from '#optimize/problem/fixed-additions.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { heardStating } from '#optimize/problem/stating.ts';
import { forgiving, IBU_PER_INTENSITY } from '#optimize/problem/windows.ts';
import { weighable } from '#optimize/problem/weighable.ts';
import { Clock, completed, run, type Run } from '#optimize/pacing/clock.ts';
import { leastMiss, slackOf, type SearchBudget } from '#optimize/search/nearest.ts';
import { gapOf } from '#optimize/search/proof.ts';
import { Search } from '#optimize/search/search.ts';
import { answering } from './answering.ts';
import { NOTHING_FOUND } from './best-blend.ts';
import { POINT_WORTH_G_PER_L, type DesignOptions, type DesignProgress } from './options.ts';

/** Misses are traded in steps of this, in intensity. */
const TRADED_TO = 0.1;

/** A design around what is kept. */
export interface Replanned {
  readonly answer: DesignAnswer;
  /** Whether no wish is missed by more than anybody notices. */
  readonly unnoticed: boolean;
}

/** What one intensity of miss is worth in what is minimised: so many g/L of the mean hop on offer. */
function pointWorth({ columns, objective }: BlendProblem, gPerL: GramsPerLitre): number {
  const of = columns.flatMap(({ stage }, j) => (stage === null ? [] : [objective[j]!]));
  return of.length > 0 ? (gPerL * of.reduce((sum, one) => sum + one, 0)) / of.length : 0;
}

interface Traded {
  readonly doses: Doses;
  /** Objective and miss at its price; proven not below `bound`. */
  readonly merit: number;
  readonly bound: number;
}

/**
 * The least of objective and largest miss at its price. Fewer are missed the more is taken, so a blend that
 * misses by between two figures is no better than the objective at the larger and the miss at the smaller.
 */
function* traded<P>(
  problem: BlendProblem,
  nearest: { readonly doses: Doses; readonly miss: number; readonly bound: number },
  worth: number,
  { clock, until, progress }: SearchBudget<P>,
): Run<P, Traded> {
  const meritOf = (doses: Doses) => objectiveOf(problem, doses) + worth * worstMiss(problem, doses);
  let best = { doses: nearest.doses, merit: meritOf(nearest.doses) };
  /** The least objective of a blend that misses by no more; only what can be better is sought. */
  const objectiveAt = function* (miss: number): Run<P, number> {
    const search = new Search(problem, 'objective', slackOf(miss), 0);
    search.ceiling = best.merit;
    search.offer(best.doses);
    if (!clock.over) yield* run(clock, search, until, () => progress(search));
    const { incumbent, bound, done } = search.state;
    if (incumbent) {
      const merit = meritOf(incumbent.doses);
      if (merit < best.merit) best = { doses: incumbent.doses, merit };
    }
    return done && !incumbent ? best.merit : bound;
  };
  // A miss of more is dearer than the best blend; and none is larger than the largest intensity.
  const most = best.merit / Math.max(worth, 1e-9);
  const steps = Math.ceil(Math.min(most, INTENSITY_MAX) / TRADED_TO);
  const at = (step: number) => nearest.miss + step * TRADED_TO;
  const first = yield* objectiveAt(at(0));
  const last = yield* objectiveAt(at(steps));
  const open = [{ from: 0, to: steps, above: last }];
  const beyond = most > INTENSITY_MAX ? Infinity : worth * at(steps);
  let dropped = Math.min(first + worth * nearest.bound, beyond);
  for (let part = open.pop(); part; part = open.pop()) {
    const { from, to, above } = part;
    const bound = above + worth * at(from);
    if (bound >= best.merit || to - from <= 1 || clock.over) {
      dropped = Math.min(dropped, bound);
      continue;
    }
    const middle = Math.floor((from + to) / 2);
    const there = yield* objectiveAt(at(middle));
    open.push({ from: middle, to, above }, { from, to: middle, above: there });
  }
  return { ...best, bound: Math.min(best.merit, dropped) };
}

/** The brief with its wishes widened by what these doses miss. */
function loosened(brief: Brief, widened: BlendProblem, doses: Doses): Brief {
  const by = worstMiss(widened, doses);
  const { ibu_at_least: least, ibu_at_most: most } = brief.limits;
  const target = widened.axes.map(({ axis, low, high }) => [
    axis,
    given({
      at_least: low - by > 0 ? low - by : undefined,
      at_most: high < Infinity ? Math.min(INTENSITY_MAX, high + by) : undefined,
    }),
  ]);
  const ibu = given({
    ibu_at_least: least && Math.max(0, least - by * IBU_PER_INTENSITY),
    ibu_at_most: most && most + by * IBU_PER_INTENSITY,
  });
  return {
    ...brief,
    target: Object.fromEntries(target) as Brief['target'],
    limits: { ...brief.limits, ...ibu },
  };
}

/**
 * Designs the rest of a blend anew. As `answering` where closeness itself is minimised, or where no blend keeps
 * the hard limits.
 * @param gPerL hops that one intensity of miss is worth at most.
 */
export function* replanning(
  base: Model,
  asked: Brief,
  gPerL: GramsPerLitre = POINT_WORTH_G_PER_L,
  options: DesignOptions = {},
): Run<DesignProgress, Outcome<Replanned>> {
  const clock = new Clock(options.timeLimitMs, options.now);
  const plain = function* (): Run<DesignProgress, Outcome<Replanned>> {
    const timeLimitMs = Math.max(0, clock.deadline - clock.now());
    const outcome = yield* answering(base, asked, { ...options, timeLimitMs });
    if (!outcome.ok) return outcome;
    const answer = outcome.value;
    return success({ answer, unnoticed: (answer.blends[0]?.misses.length ?? 1) === 0 });
  };
  if (asked.minimise === 'closest') return yield* plain();
  const { brief, notes } = weighable(asked);
  const model = modelFor(base, brief);
  const reading = () => ({ ...NOTHING_FOUND, milliseconds: clock.milliseconds });
  const stated = yield* heardStating(model, brief, clock, reading);
  if (!stated.ok) return stated;
  const problem = stated.value;
  const widened = forgiving(problem, defaultValues(model)['aroma.jnd']);
  const budget = { clock, until: clock.deadline, progress: reading };
  const near = yield* leastMiss(widened, budget);
  if (near === 'none' || near === 'unknown') return yield* plain();
  const found = yield* traded(widened, near, pointWorth(widened, gPerL), budget);
  const unnoticed = worstMiss(widened, found.doses) < 1e-6;
  if ((brief.limits.holds_in_lots_at_least ?? 0) > 0) {
    // What is to hold in so many lots is what is asked for in the end.
    const timeLimitMs = Math.max(0, clock.deadline - clock.now());
    const outcome = yield* answering(base, loosened(brief, widened, found.doses), {
      ...options,
      timeLimitMs,
    });
    return outcome.ok ? success({ answer: outcome.value, unnoticed }) : outcome;
  }
  const judging = checking(model, brief, problem, found.doses, options.band);
  const { blend } = yield* completed(clock, judging, reading);
  const kept = fixedObjective(problem.fixed, brief);
  const gap = gapOf(kept + found.merit, kept + found.bound);
  // Between two tenths of a miss nothing is looked for.
  const unsettled = found.merit - found.bound - pointWorth(widened, gPerL) * TRADED_TO;
  const answer: DesignAnswer = {
    status: unsettled <= 1e-3 * (kept + found.merit) ? 'optimal' : 'within_gap',
    lower_bound: kept + found.bound,
    gap,
    milliseconds: clock.milliseconds,
    blends: [blend],
    why: { left_out: problem.leftOut, notes },
  };
  const limitsMissed = blend.misses.some(({ wish }) => !wish.startsWith('target.'));
  return success({ answer, unnoticed: unnoticed && !limitsMissed });
}
