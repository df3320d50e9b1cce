// The way from a brief to an answer: state the problem, search, and if nothing meets the wishes search
// for the closest; every blend shown is predicted anew by the engine before a word is said about it.
import type { BlendAddition, DesignAnswer, Proof } from '#shared/answer.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { modelFor, type Model } from '#engine/model.ts';
import { Alternatives, ranked, varietiesOf, type Ranked } from './alternatives.ts';
import { additionsOf, checked } from './check.ts';
import { clashOf } from './clash.ts';
import { BLENDS_MAX, type DesignOptions, type DesignProgress } from './contract.ts';
import { keptObjective } from './kept.ts';
import { bestAsNear, leastMiss, proofOfNearest, type Going, type Nearest } from './nearest.ts';
import { problemOf } from './stating.ts';
import type { BlendProblem } from './problem.ts';
import { gapOf, proofOf } from './proof.ts';
import { Search, type Incumbent } from './search.ts';
import { finished, run, Clock, type Run } from './clock.ts';
import { tieBroken } from './ties.ts';
import { objectiveOf, worstMiss, type Doses } from './truth.ts';

/** Share of the time given to blends that meet all wishes before the closest is sought. */
const MEETING_SHARE = 0.5;

/** Share of the time given to the best blend where alternatives are asked for. */
const BEST_SHARE = 0.5;

type Designing<T> = Run<DesignProgress, T>;

/** What all searches of one design share. */
interface Job {
  readonly model: Model;
  readonly brief: Brief;
  readonly options: DesignOptions;
  readonly problem: BlendProblem;
  readonly clock: Clock;
}

/** An answer with one blend, as doses too. */
interface Best {
  readonly answer: DesignAnswer;
  readonly doses: Doses;
}

/** Whether closeness to the wishes is what the brief asks for, not what is left where none meets it. */
function wantsClosest({ brief }: Job): boolean {
  return brief.minimise === 'closest';
}

/** What kept additions bring to the figure that is minimised. */
function baseOf({ problem, brief }: Job): number {
  return brief.minimise === 'closest' ? 0 : keptObjective(problem.kept, brief);
}

function snapshot(job: Job, search: Search): DesignProgress {
  const { brief, problem, clock } = job;
  const base = baseOf(job);
  const { incumbent, bound } = search.state;
  const asked = wantsClosest(job)
    ? search.goal === 'slack'
    : search.goal === 'objective' && search.program.slack === 0;
  const best: BlendAddition[] | null =
    incumbent && asked
      ? additionsOf(problem, brief, incumbent.doses).documents.map(
          ({ hop, form, stage, grams }) => ({ hop, form, stage, grams }),
        )
      : null;
  return {
    best,
    objective: best ? base + incumbent!.merit : null,
    lower_bound: base + (asked ? bound : 0),
    gap: best ? gapOf(base + incumbent!.merit, base + bound) : 1,
    milliseconds: clock.milliseconds,
  };
}

/** Runs a search until it is done, out of time or stopped; says so on the way. */
function searching(job: Job, search: Search, until: number): Designing<void> {
  return run(job.clock, search, until, () => snapshot(job, search));
}

function answer(job: Job, doses: Doses, { status, lower_bound, gap }: Proof): Best {
  const { model, brief, problem, options, clock } = job;
  const { blend, broken } = checked(model, brief, problem, doses, options.band);
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
  } else if (status === 'within_gap') {
    notes.push('The search ended before the blend was proven best');
  }
  if (!confirmed) {
    notes.push(`The engine does not confirm the blend: ${missed.join(', ')} off by rounding`);
  }
  return {
    doses,
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

/** The one best blend; by `deadline`, ms, proven or not. */
function* designingBest(job: Job, deadline: number): Designing<Outcome<Best>> {
  const { problem, clock } = job;
  const meeting = new Search(problem, 'objective', 0, 0);
  const share = (deadline - clock.started) * MEETING_SHARE;
  yield* searching(job, meeting, clock.started + share);
  if (meeting.incumbent) {
    if (!clock.stopped && !meeting.state.done) yield* searching(job, meeting, deadline);
    return success(yield* bestOf(job, meeting, deadline));
  }

  // Nothing meets the wishes (or nothing was found in time): what the hard limits alone allow.
  const near = yield* leastMiss(problem, going(job, deadline));
  if (!near) return failure(clashOf(problem));
  if (meeting.offer(near.doses)) return success(yield* bestOf(job, meeting, deadline));
  return success(yield* asNear(job, near, deadline));
}

/** Where closeness is asked for: the least largest distance, the bitterness window kept if it can be. */
function* designingClosest(job: Job, deadline: number): Designing<Outcome<Best>> {
  const { problem } = job;
  const near = yield* leastMiss(problem, going(job, deadline), 'coarse');
  if (near) {
    const doses = yield* bestAsNear(problem, near, going(job, deadline));
    return success(answer(job, doses, proofOfNearest(near)));
  }
  const free = { ...problem, bitter: problem.bitter && { ...problem.bitter, held: false } };
  const nearest = yield* leastMiss(free, going(job, deadline));
  if (!nearest) return failure(clashOf(problem));
  return success(yield* asNear({ ...job, problem: free }, nearest, deadline));
}

/** The answer where no blend meets the brief: of all that come as near as `near` the best. */
function* asNear(job: Job, near: Nearest, deadline: number): Designing<Best> {
  const doses = yield* bestAsNear(job.problem, near, going(job, deadline));
  const { miss, bound } = near;
  return answer(job, doses, { status: 'closest', lower_bound: bound, gap: gapOf(miss, bound) });
}

function going(job: Job, until: number): Going<DesignProgress> {
  return { clock: job.clock, until, progress: (search) => snapshot(job, search) };
}

function proofOfBest({ problem, brief }: Job, search: Search, incumbent: Incumbent): Proof {
  const { state, tolerance } = search;
  const bound = Math.min(state.bound, incumbent.merit);
  return proofOf({ incumbent, bound, tolerance }, keptObjective(problem.kept, brief));
}

/** The best blend of a search; where it is proven, the one to show of those equally good. */
function* bestOf(job: Job, search: Search, until: number): Designing<Best> {
  const { problem, clock } = job;
  let incumbent = search.incumbent!;
  let proof = proofOfBest(job, search, incumbent);
  if (proof.status === 'optimal' && !clock.over) {
    const progress = () => snapshot(job, search);
    incumbent = yield* tieBroken(problem, incumbent, {
      clock,
      until,
      parts: search.nodes,
      progress,
    });
    proof = proofOfBest(job, search, incumbent);
  }
  return answer(job, incumbent.doses, proof);
}

/**
 * Designs the best blend for a brief, a slice at a time. Yields a snapshot at every better blend and
 * at least every few milliseconds; send 'stop' to end with the best so far and its honest gap.
 *
 * `optimal`: proven within 0.1 % or one weighing step over all dry-hop loads; of equally good blends
 * the one of fewer hops, then the cheaper (see ties.ts). `within_gap`: time or
 * patience ran out. `closest`: no blend meets the wishes; this one has the least worst miss, in
 * intensity, with the bitterness window widened by 5 IBU per intensity, and among those the best.
 * Where the brief minimises `closest`, the largest distance from an aim itself is what is proven
 * least, all limits kept; the status is then as for any figure, the bound is in intensity.
 * With `alternatives` further blends follow, each with its own proof (see alternatives.ts).
 * Fails when the brief cannot be read as a problem, or when its hard limits clash.
 */
export function* designing(
  base: Model,
  brief: Brief,
  options: DesignOptions = {},
): Designing<Outcome<DesignAnswer>> {
  const model = modelFor(base, brief);
  const clock = new Clock(options.timeLimitMs);
  const stated = problemOf(model, brief);
  if (!stated.ok) return stated;
  const job: Job = { model, brief, options, problem: stated.value, clock };
  const count = Math.min(BLENDS_MAX, options.alternatives ?? 1);
  const { started, deadline } = clock;
  const until = count > 1 ? started + (deadline - started) * BEST_SHARE : deadline;
  const found = yield* wantsClosest(job) ? designingClosest(job, until) : designingBest(job, until);
  if (!found.ok) return found;
  if (count < 2) return success(found.value.answer);
  return success(yield* designingOthers(job, found.value, count));
}

/** Adds blends that leave out hops of the ones before, until there are `count`. */
function* designingOthers(job: Job, first: Best, count: number): Designing<DesignAnswer> {
  const { model, brief, options, problem, clock } = job;
  const { answer: found } = first;
  const goal = found.status === 'closest' || wantsClosest(job) ? 'slack' : 'objective';
  const base = goal === 'objective' ? keptObjective(problem.kept, brief) : 0;
  const progress = (settled: number): DesignProgress => ({
    best: found.blends[0]!.additions,
    objective: goal === 'objective' ? base + objectiveOf(problem, first.doses) : null,
    lower_bound: goal === 'objective' ? found.lower_bound : 0,
    gap: goal === 'objective' ? found.gap : 1,
    milliseconds: clock.milliseconds,
    settled,
  });
  const { status, lower_bound, gap } = found;
  const worst = worstMiss(problem, first.doses);
  let blends: Ranked[] = [
    {
      blend: found.blends[0]!,
      proof: { status, lower_bound, gap },
      figure: goal === 'objective' ? base + objectiveOf(problem, first.doses) : worst,
      varieties: varietiesOf(problem, first.doses),
    },
  ];
  const notes = [...found.why.notes];
  const others = new Alternatives(problem, goal);
  others.exclude(varietiesOf(problem, first.doses), lower_bound - base);
  while (blends.length < count) {
    const left = Math.max(0, clock.deadline - performance.now());
    const until = performance.now() + left / (count - blends.length);
    if (!clock.over) yield* run(clock, others, until, () => progress(blends.length));
    const { choice, state } = others;
    if (!choice) {
      notes.push(
        state.done
          ? `No further blend ${goal === 'objective' ? 'meets all wishes' : 'is possible'} that leaves out a hop of each blend shown`
          : 'The search ended before a further blend was found',
      );
      break;
    }
    let { doses } = choice;
    const { merit, tolerance } = choice;
    if (goal === 'slack') {
      const how = { clock, until, progress: () => progress(blends.length) };
      doses = yield* bestAsNear(choice.problem, { doses, miss: merit }, how);
    }
    const { bound } = state;
    const nearest = proofOfNearest({ miss: merit, bound, tolerance });
    const proof: Proof =
      goal === 'objective'
        ? proofOf({ incumbent: choice, bound, tolerance }, base)
        : { ...nearest, ...(found.status === 'closest' && { status: 'closest' }) };
    const { blend } = checked(model, brief, problem, doses, options.band);
    const varieties = varietiesOf(problem, doses);
    const figure = goal === 'objective' ? base + merit : worstMiss(problem, doses);
    blends = ranked(blends, { blend, proof, figure, varieties });
    others.exclude(varieties, bound);
  }
  return {
    ...found,
    ...blends[0]!.proof,
    milliseconds: clock.milliseconds,
    blends: blends.map(({ blend, proof }) => ({ ...blend, proof })),
    why: { ...found.why, notes },
  };
}

/** Runs a design to its end. */
export function design(
  model: Model,
  brief: Brief,
  options: DesignOptions = {},
): Outcome<DesignAnswer> {
  return finished(designing(model, brief, options));
}
