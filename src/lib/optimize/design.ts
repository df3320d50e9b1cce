// The way from a brief to an answer: state the problem, search, and if nothing meets the wishes search
// for the closest; every blend shown is predicted anew by the engine before a word is said about it.
import type { BlendAddition, DesignAnswer, DesignStatus } from '#shared/answer.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Model } from '#engine/model.ts';
import { additionsOf, checked } from './check.ts';
import { clashOf } from './clash.ts';
import type { DesignOptions, DesignProgress } from './contract.ts';
import { keptObjective } from './kept.ts';
import { problemOf, type BlendProblem } from './problem.ts';
import { Search } from './search.ts';
import { worstMiss, type Doses } from './truth.ts';

/** Time after which proving is given up where the caller names none, ms. */
export const TIME_LIMIT_MS = 20_000;
/** Longest work between two snapshots, ms. */
const SLICE_MS = 8;
/** Share of the time given to blends that meet all wishes before the closest is sought. */
const MEETING_SHARE = 0.5;

type Signal = 'stop' | undefined;
type Run<T> = Generator<DesignProgress, T, Signal>;

/** Clock, deadline and the driver's wish to stop, shared by the searches of one design. */
interface Session {
  readonly brief: Brief;
  readonly problem: BlendProblem;
  readonly started: number;
  readonly deadline: number;
  stopped: boolean;
}

function snapshot(session: Session, search: Search): DesignProgress {
  const { brief, problem, started } = session;
  const base = keptObjective(problem.kept, brief);
  const { incumbent, bound } = search.state;
  const meets = search.goal === 'objective' && search.program.slack === 0;
  const best: BlendAddition[] | null =
    incumbent && meets
      ? additionsOf(problem, brief, incumbent.doses).documents.map(
          ({ hop, form, stage, grams }) => ({ hop, form, stage, grams }),
        )
      : null;
  return {
    best,
    objective: best ? base + incumbent!.merit : null,
    lower_bound: base + (meets ? bound : 0),
    gap: best ? gapOf(base + incumbent!.merit, base + bound) : 1,
    milliseconds: performance.now() - started,
  };
}

function gapOf(merit: number, bound: number): number {
  return merit > 0 ? Math.min(1, Math.max(0, (merit - bound) / merit)) : 0;
}

/** Runs a search until it is done, out of time or stopped; says so on the way. */
function* run(session: Session, search: Search, until: number): Run<void> {
  let heard = performance.now();
  let best = search.incumbent;
  while (search.step()) {
    const now = performance.now();
    const better = search.incumbent !== best;
    if (better || now - heard > SLICE_MS) {
      best = search.incumbent;
      if ((yield snapshot(session, search)) === 'stop') session.stopped = true;
      heard = performance.now();
    }
    if (session.stopped || now > until) return;
  }
  if (search.incumbent !== best && (yield snapshot(session, search)) === 'stop') {
    session.stopped = true;
  }
}

function answer(
  session: Session,
  model: Model,
  options: DesignOptions,
  status: DesignStatus,
  doses: Doses,
  lowerBound: number,
  gap: number,
): DesignAnswer {
  const { brief, problem, started } = session;
  const { blend, broken } = checked(model, brief, problem, doses, options.band);
  const notes: string[] = [];
  const missed = blend.misses.map((m) => m.wish);
  const confirmed = broken.length === 0 && (status === 'closest' || missed.length === 0);
  if (status === 'closest') {
    notes.push(
      missed.length > 0
        ? `No blend found meets all wishes; this one misses ${missed.join(', ')}`
        : 'Stopped before a blend was proven best',
    );
  } else if (status === 'within_gap') {
    notes.push('The search ended before the blend was proven lightest, cheapest or least leafy');
  }
  if (!confirmed) {
    notes.push(`The engine does not confirm the blend: ${missed.join(', ')} off by rounding`);
  }
  return {
    status: confirmed || status === 'closest' ? status : 'within_gap',
    lower_bound: lowerBound,
    gap,
    milliseconds: performance.now() - started,
    blends: [blend],
    why: { left_out: problem.leftOut, notes },
  };
}

/**
 * Designs the best blend for a brief, a slice at a time. Yields a snapshot at every better blend and
 * at least every few milliseconds; send 'stop' to end with the best so far and its honest gap.
 *
 * `optimal`: proven within 0.1 % or one weighing step over all dry-hop loads. `within_gap`: time or
 * patience ran out. `closest`: no blend meets the wishes; this one has the least worst miss, in
 * intensity, with the bitterness window widened by 5 IBU per intensity, and among those the best.
 * Fails when the brief cannot be read as a problem, or when its hard limits clash.
 */
export function* designing(
  model: Model,
  brief: Brief,
  options: DesignOptions = {},
): Run<Outcome<DesignAnswer>> {
  const started = performance.now();
  const stated = problemOf(model, brief);
  if (!stated.ok) return stated;
  const problem = stated.value;
  const limit = options.timeLimitMs ?? TIME_LIMIT_MS;
  const session: Session = { brief, problem, started, deadline: started + limit, stopped: false };

  const meeting = new Search(problem, 'objective', 0, 0);
  let until = started + limit * MEETING_SHARE;
  yield* run(session, meeting, until);
  if (meeting.incumbent) {
    until = session.deadline;
    if (!session.stopped && !meeting.state.done) yield* run(session, meeting, until);
    return success(best(session, model, options, meeting));
  }

  // Nothing meets the wishes (or nothing was found in time): what the hard limits alone allow.
  const free = new Search({ ...problem, axes: [], bitter: null }, 'objective', 0, 0);
  while (!free.incumbent && free.step());
  if (!free.incumbent) return failure(clashOf(problem));
  const allowed = free.incumbent.doses;
  const closest = new Search(problem, 'slack', 0, worstMiss(problem, allowed) + 1e-9);
  closest.offer(allowed);
  if (session.stopped) closest.step();
  else yield* run(session, closest, session.deadline);
  const { doses: nearest, merit: miss } = closest.incumbent!;
  if (meeting.offer(nearest)) {
    return success(best(session, model, options, meeting));
  }
  const bound = closest.state.bound;

  const lightest = new Search(problem, 'objective', miss * (1 + 1e-9) + 1e-9, 0);
  lightest.offer(nearest);
  if (!session.stopped) yield* run(session, lightest, session.deadline);
  const { doses } = lightest.incumbent ?? { doses: nearest };
  return success(answer(session, model, options, 'closest', doses, bound, gapOf(miss, bound)));
}

function best(
  session: Session,
  model: Model,
  options: DesignOptions,
  search: Search,
): DesignAnswer {
  const { incumbent, bound } = search.state;
  const { doses, merit } = incumbent!;
  const proven = merit - bound <= search.tolerance * (1 + 1e-9) + 1e-12;
  const status = proven ? 'optimal' : 'within_gap';
  const base = keptObjective(session.problem.kept, session.brief);
  const gap = gapOf(base + merit, base + bound);
  return answer(session, model, options, status, doses, base + bound, gap);
}

/** Runs a design to its end. */
export function design(
  model: Model,
  brief: Brief,
  options: DesignOptions = {},
): Outcome<DesignAnswer> {
  const search = designing(model, brief, options);
  for (;;) {
    const step = search.next();
    if (step.done) return step.value;
  }
}
