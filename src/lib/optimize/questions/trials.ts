// The first look at replacements: how close single hops, and pairs, can come with free doses. Each
// trial is a small exact search that ends when its gap no longer matters, so that a whole table is
// gone through in well under a second; what a trial proves stays proven for whole weighing steps.
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { restrictedTo } from '#optimize/problem/restrict.ts';
import { Search } from '#optimize/search/search.ts';
import { listening, type Clock, type Run } from '#optimize/pacing/clock.ts';
import { worstMiss } from '#optimize/problem/evaluation.ts';
import { NO_DOSES, type Doses } from '#optimize/problem/doses.ts';

/** How sure the first trial is of a difference, in intensity: far below what anybody notices. */
const TRIAL_GAP = 0.02;
/** Parts a trial looks at before its gap is left as it is; seen: tens. */
const TRIAL_NODES = 400;
/** Share of the time after which no more pairs are tried, so that the found ones can be dosed. */
const TRYING_SHARE = 0.7;

export interface SwapProgress {
  readonly phase: 'single' | 'split' | 'dosing';
  readonly done: number;
  readonly of: number;
  readonly milliseconds: number;
}

/** What all trials of one swap share. */
export interface Trying {
  readonly problem: BlendProblem;
  readonly clock: Clock;
}

/** What a few hops can do, doses in any fraction of a gram. */
export interface Trial {
  readonly varieties: readonly number[];
  /** Proven not below, and found; `null` doses when nothing closer than the cutoff was. */
  readonly bound: number;
  readonly found: number;
  readonly doses: Doses | null;
}

/** Doses in any fraction of a gram: a bound on what weighing can do. */
function freely(problem: BlendProblem): BlendProblem {
  return { ...problem, step: 0, least: 0 };
}

/** Closest a few hops come with free doses, as far as below `cutoff`. */
function* tried(
  problem: BlendProblem,
  varieties: readonly number[],
  cutoff: number,
): Generator<undefined, Trial> {
  const { problem: small, inWhole } = restrictedTo(problem, varieties);
  const search = new Search(small, 'slack', 0, cutoff);
  search.offer(NO_DOSES);
  let { bound, incumbent } = search.state;
  while (search.step() && search.nodes < TRIAL_NODES) {
    yield;
    ({ bound, incumbent } = search.state);
    if (bound >= cutoff || (incumbent && incumbent.merit - bound <= TRIAL_GAP)) break;
  }
  ({ bound, incumbent } = search.state);
  return {
    varieties,
    bound: Math.min(bound, incumbent?.merit ?? Infinity, cutoff),
    found: incumbent?.merit ?? Infinity,
    doses: incumbent && inWhole(incumbent.doses),
  };
}

/** Tries every hop alone; closest first. */
export function* singles({ problem, clock }: Trying): Run<SwapProgress, Trial[]> {
  const free = freely(problem);
  const cutoff = worstMiss(free, NO_DOSES) + 1e-9;
  const trials: Trial[] = [];
  for (let v = 0; v < problem.varieties.length && !clock.over; v += 1) {
    const progress = (done: number) => {
      const { milliseconds } = clock;
      return { phase: 'single' as const, done, of: problem.varieties.length, milliseconds };
    };
    const trial = yield* listening(clock, tried(free, [v], cutoff), () => progress(v));
    if (!trial) break;
    trials.push(trial);
    if ((yield progress(v + 1)) === 'stop') clock.stopped = true;
  }
  return trials.sort((a, b) => a.found - b.found);
}

/**
 * The `count` closest pairs of hops that are closer than `start`; closest first. Goes over all pairs, the most promising hops
 * first, and drops a pair as soon as it is proven not to beat the ones found: nothing is lost by it.
 */
export function* splits(
  { problem, clock }: Trying,
  alone: readonly Trial[],
  start: number,
  count: number,
): Run<SwapProgress, { pairs: Trial[]; left: number }> {
  const free = freely(problem);
  const order = alone.map((t) => t.varieties[0]!);
  const of = (order.length * (order.length - 1)) / 2;
  let pairs: Trial[] = [];
  let done = 0;
  const progress = (): SwapProgress => {
    const { milliseconds } = clock;
    return { phase: 'split', done, of, milliseconds };
  };
  let heard = performance.now();
  const until = clock.started + TRYING_SHARE * (clock.deadline - clock.started);
  for (let b = 1; b < order.length; b += 1) {
    for (let a = 0; a < b; a += 1) {
      if (clock.over || performance.now() > until) return { pairs, left: of - done };
      const cutoff = Math.min(start, pairs[count - 1]?.found ?? Infinity);
      if (cutoff > 0) {
        const pair = tried(free, [order[a]!, order[b]!], cutoff);
        const trial = yield* listening(clock, pair, progress);
        if (!trial) return { pairs, left: of - done };
        if (trial.found < cutoff) {
          pairs = [...pairs, trial].sort((p, q) => p.found - q.found).slice(0, count);
        }
      }
      done += 1;
      if (performance.now() - heard < 8) continue;
      if ((yield progress()) === 'stop') clock.stopped = true;
      heard = performance.now();
    }
  }
  return { pairs, left: 0 };
}
