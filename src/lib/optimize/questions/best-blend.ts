// The one best blend of a stated brief: the best of those that meet all wishes, else the closest, or
// the closest to the aims where that is asked for; each with what is proven of it in the time given.
import type { DesignAnswer, Proof } from '#shared/answers/answer.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { stageMost } from '#shared/schemas/stage-limits.ts';
import type { Model } from '#engine/tables/model.ts';
import { blendAdditions, checking } from '#optimize/problem/check.ts';
import { clashOf, undecided } from '#optimize/search/clash.ts';
import { completed, pause, run, type Clock, type Run } from '#optimize/pacing/clock.ts';
import type { DesignOptions, DesignProgress } from './options.ts';
import { excess } from '#optimize/problem/evaluation.ts';
import { heldAt } from '#optimize/problem/usual-doses.ts';
import { fixedObjective } from '#optimize/problem/fixed-additions.ts';
import {
  bestAsNear,
  leastMiss,
  proofOfNearest,
  type Nearest,
  type SearchBudget,
} from '#optimize/search/nearest.ts';
import { REQUIRED_G_PER_L, type BlendProblem } from '#optimize/problem/problem.ts';
import { gapOf, proofOf } from '#optimize/search/proof.ts';
import { meritOf } from '#optimize/search/primal-heuristic.ts';
import type { Incumbent } from '#optimize/search/incumbent.ts';
import { Search } from '#optimize/search/search.ts';
import { tieBroken } from '#optimize/search/ties.ts';
import type { Doses } from '#optimize/problem/doses.ts';

/** Share of the time given to blends that meet all wishes before the closest is sought. */
const MEETING_SHARE = 0.5;
/** Share of a stage's most that may be left where the stage counts as full. */
const LEFT_OF_FULL = 0.01;
/** A snapshot before any blend is found. */
export const NOTHING_FOUND: DesignProgress = {
  best: null,
  objective: null,
  lower_bound: 0,
  gap: 1,
  milliseconds: 0,
};

export type Designing<T> = Run<DesignProgress, T>;

/** What all searches of one design share. */
export interface DesignJob {
  readonly model: Model;
  readonly brief: Brief;
  readonly options: DesignOptions;
  readonly problem: BlendProblem;
  readonly clock: Clock;
}

/** An answer with one blend, as doses too. */
export interface BestBlend {
  readonly answer: DesignAnswer;
  readonly doses: Doses;
  /** The problem it answers. */
  readonly problem: BlendProblem;
}

/** Whether closeness to the wishes is what the brief asks for, not what is left where none meets it. */
export function wantsClosest({ brief }: DesignJob): boolean {
  return brief.minimise === 'closest';
}

/** What fixed additions bring to the figure that is minimised. */
function baseOf({ problem, brief }: DesignJob): number {
  return brief.minimise === 'closest' ? 0 : fixedObjective(problem.fixed, brief);
}

function snapshot(job: DesignJob, search: Search | null): DesignProgress {
  const { brief, problem, clock } = job;
  const base = baseOf(job);
  if (!search) return { ...NOTHING_FOUND, lower_bound: base, milliseconds: clock.milliseconds };
  const { incumbent, bound } = search.state;
  const asked = wantsClosest(job)
    ? search.goal === 'slack'
    : search.goal === 'objective' && search.slack === 0;
  const best = incumbent && asked ? blendAdditions(problem, brief, incumbent.doses) : null;
  const miss = search.goal === 'slack' ? incumbent?.merit : search.slack;
  return {
    best,
    // No hops at all, from which a search begins, is no blend to speak of.
    ...(incumbent?.doses.columns.length && !asked && !wantsClosest(job) && { miss }),
    objective: best ? base + incumbent!.merit : null,
    lower_bound: base + (asked ? bound : 0),
    gap: best ? gapOf(base + incumbent!.merit, base + bound) : 1,
    milliseconds: clock.milliseconds,
  };
}

/** Runs a search until it is done, out of time or stopped; says so on the way. */
function searching(job: DesignJob, search: Search, until: number): Designing<void> {
  return run(job.clock, search, until, () => snapshot(job, search));
}

/** Hears a stop between the search and its answer: the prediction with its draws takes a while too. */
function* heard(job: DesignJob, search: Search | null): Designing<void> {
  if (job.clock.stopped) return;
  yield* pause(job.clock, snapshot(job, search));
}

/** @param search that found the doses, to tell of meanwhile; `null` where there is none. */
function* answer(
  job: DesignJob,
  search: Search | null,
  doses: Doses,
  { status, lower_bound, gap }: Proof,
): Designing<BestBlend> {
  const { model, brief, problem, options, clock } = job;
  yield* heard(job, search);
  const judging = checking(model, brief, problem, doses, options.band);
  const { blend, broken } = yield* completed(clock, judging, () => snapshot(job, search));
  const notes: string[] = [];
  const missed = blend.misses.map((m) => m.wish);
  const asIs = status === 'closest' || wantsClosest(job);
  const confirmed = broken.length === 0 && (asIs || missed.length === 0);
  if (status === 'closest') {
    notes.push(
      missed.length > 0
        ? `No blend found meets all wishes; this one misses ${missed.join(', ')}`
        : 'Stopped before a blend was proven best',
    );
    // A stage that is full, of which the brief says nothing, may be what keeps a wish out of reach.
    for (const limit of problem.limits) {
      const { of, most, taken } = limit;
      if (of.kind !== 'stage' || stageMost(brief.limits, of.stage) !== undefined) continue;
      if (excess(limit, doses) > -LEFT_OF_FULL) notes.push(heldAt(of.stage, most + taken));
    }
  } else if (status === 'within_gap') {
    notes.push('The search ended before the blend was proven best');
  }
  if (problem.required.length > 0 && problem.least === 0 && problem.step === 0) {
    const grams = Number((REQUIRED_G_PER_L * problem.beerL).toPrecision(3));
    notes.push(
      `limits.smallest_addition_g is not given: of each required hop at least ${grams} g, ${REQUIRED_G_PER_L} g/L, are taken`,
    );
  }
  if (brief.minimise === 'cost' && problem.fixed.cost === null) {
    notes.push(
      'Some kept additions have no price_per_kg: the proof covers the cost of the others only',
    );
  }
  if (!confirmed) {
    notes.push(`The engine does not confirm the blend: ${missed.join(', ')} off by rounding`);
  }
  return {
    doses,
    problem,
    answer: {
      status: confirmed || status === 'closest' ? status : 'within_gap',
      lower_bound,
      gap,
      milliseconds: clock.milliseconds,
      blends: [blend],
      why: { left_out: problem.leftOut, notes },
    },
  };
}

/** The best blend that meets all wishes, or the closest. */
function* meetingBest(job: DesignJob, deadline: number): Designing<Outcome<BestBlend>> {
  const { problem, clock } = job;
  const meeting = new Search(problem, 'objective', 0, 0);
  const share = (deadline - clock.started) * MEETING_SHARE;
  yield* searching(job, meeting, clock.started + share);
  if (meeting.incumbent) {
    if (!clock.stopped && !meeting.state.done) yield* searching(job, meeting, deadline);
    return success(yield* bestOf(job, meeting, deadline));
  }

  // Nothing meets the wishes (or nothing was found in time): what the hard limits alone allow.
  const near = yield* leastMiss(problem, budgetOf(job, deadline));
  if (near === 'none') return yield* clashing(job, problem, deadline);
  if (near === 'unknown') return failure(undecided(problem, clock));
  if (meeting.offer(near.doses)) return success(yield* bestOf(job, meeting, deadline));
  return success(yield* asNear(job, near, deadline));
}

/**
 * Where closeness is asked for: the least largest distance, the bitterness window kept if it can be.
 * Where that is not settled in time, the window is widened as where no blend keeps it, and a note says so.
 */
function* closestBest(job: DesignJob, deadline: number): Designing<Outcome<BestBlend>> {
  const { problem, clock } = job;
  const near = yield* leastMiss(problem, budgetOf(job, deadline), 'coarse');
  const closest = function* (found: Nearest): Designing<BestBlend> {
    const doses = yield* bestAsNear(problem, found, budgetOf(job, deadline));
    return yield* answer(job, null, doses, proofOfNearest(found));
  };
  if (near !== 'none' && near !== 'unknown') return success(yield* closest(near));
  const free = { ...problem, bitter: problem.bitter && { ...problem.bitter, held: false } };
  const nearest = yield* leastMiss(free, budgetOf(job, deadline));
  if (nearest === 'unknown') return failure(undecided(problem, clock));
  if (nearest === 'none') return yield* clashing(job, free, deadline);
  if (near === 'none') return success(yield* asNear({ ...job, problem: free }, nearest, deadline));
  // With the window free no blend comes nearer, so what is proven there holds here.
  if (meritOf(problem, nearest.doses, 'slack', 0) < Infinity)
    return success(yield* closest(nearest));
  const best = yield* asNear({ ...job, problem: free }, { ...nearest, bound: 0 }, deadline);
  const { message, cure } = undecided(problem, clock);
  const notes = [...best.answer.why.notes, `${message}. ${cure}`];
  return success({ ...best, answer: { ...best.answer, why: { ...best.answer.why, notes } } });
}

/** The hard limits that no blend keeps together. */
function* clashing(
  job: DesignJob,
  problem: BlendProblem,
  until: number,
): Designing<Outcome<BestBlend>> {
  const { clock } = job;
  const progress = () => snapshot(job, null);
  return failure(yield* clashOf(problem, { clock, until, progress }));
}

/** The answer where no blend meets the brief: of all that come as near as `near` the best. */
function* asNear(job: DesignJob, near: Nearest, deadline: number): Designing<BestBlend> {
  const doses = yield* bestAsNear(job.problem, near, budgetOf(job, deadline));
  const { miss, bound } = near;
  const proof: Proof = { status: 'closest', lower_bound: bound, gap: gapOf(miss, bound) };
  return yield* answer(job, null, doses, proof);
}

function budgetOf(job: DesignJob, until: number): SearchBudget<DesignProgress> {
  return { clock: job.clock, until, progress: (search) => snapshot(job, search) };
}

function proofOfBest({ problem, brief }: DesignJob, search: Search, incumbent: Incumbent): Proof {
  const { state, tolerance } = search;
  const bound = Math.min(state.bound, incumbent.merit);
  return proofOf({ incumbent, bound, tolerance }, fixedObjective(problem.fixed, brief));
}

/** The best blend of a search; where it is proven, the one to show of those equally good. */
function* bestOf(job: DesignJob, search: Search, until: number): Designing<BestBlend> {
  const { problem, clock } = job;
  let incumbent = search.incumbent!;
  let proof = proofOfBest(job, search, incumbent);
  if (proof.status === 'optimal' && !clock.over) {
    const progress = () => snapshot(job, search);
    incumbent = yield* tieBroken(problem, incumbent, {
      clock,
      until,
      nodes: search.nodes,
      progress,
    });
    proof = proofOfBest(job, search, incumbent);
  }
  return yield* answer(job, search, incumbent.doses, proof);
}

/** The one best blend, by what the brief minimises; by `deadline`, ms, proven or not. */
export function designingBest(job: DesignJob, deadline: number): Designing<Outcome<BestBlend>> {
  return wantsClosest(job) ? closestBest(job, deadline) : meetingBest(job, deadline);
}
