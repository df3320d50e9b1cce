// The blend that misses the wishes least: first the least largest miss, proven; then, of all blends
// that miss no more, the lightest (cheapest, least leafy).
import { allowedBlend } from './allowed.ts';
import { run, type Run, type RunBudget, type Work } from '#optimize/pacing/clock.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { gapOf } from './proof.ts';
import { Search } from './search.ts';
import type { Proof } from '#shared/answers/answer.ts';
import { worstMiss } from '#optimize/problem/evaluation.ts';
import type { Doses } from '#optimize/problem/doses.ts';

/** Room of a miss held at what was found, as a share and in intensity, for the rounding of sums. */
const ROOM = 1e-9;

/** Share of the time given to the question whether any blend keeps the hard limits. */
const ALLOWED_SHARE = 0.5;

/** Nodes without a lighter blend after which, of all that come as near, no other is sought. */
const PATIENCE = 500;

/** Tells of the search at work; of none while a blend is sought that keeps the hard limits alone. */
export type SearchBudget<Progress> = RunBudget<Progress, [search: Search | null]>;

export interface Nearest {
  readonly doses: Doses;
  /** Largest miss, in intensity, the proven bound on it, and the gap that counts as proven. */
  readonly miss: number;
  readonly bound: number;
  readonly tolerance: number;
}

/**
 * The least largest miss; `none` where the hard limits allow no blend, `unknown` where that was not
 * settled in time.
 * @param precision as of a search: how closely a small miss is proven.
 */
export function* leastMiss<P>(
  problem: BlendProblem,
  { clock, until, progress }: SearchBudget<P>,
  precision: Search['precision'] = 'usual',
): Run<P, Nearest | 'none' | 'unknown'> {
  const settled = clock.now() + (until - clock.now()) * ALLOWED_SHARE;
  const half = { clock, until: settled, progress: () => progress(null) };
  const start = yield* allowedBlend(problem, half);
  if (start === 'none' || start === 'unknown') return start;
  const search = new Search(problem, 'slack', 0, worstMiss(problem, start) + ROOM);
  search.precision = precision;
  search.offer(start);
  if (clock.stopped) search.step();
  else yield* run(clock, search, until, () => progress(search));
  const { incumbent, bound } = search.state;
  return { doses: incumbent!.doses, miss: incumbent!.merit, bound, tolerance: search.tolerance };
}

/** Slack at which all blends count that miss no more than `miss`. */
export function slackOf(miss: number): number {
  return miss * (1 + ROOM) + ROOM;
}

/**
 * A search of the best of the blends that come as near as one already known. It ends after `PATIENCE` nodes
 * without a better one: what is proven of the answer is its miss, and that is known before. Where 51 drawn
 * briefs ended by themselves, none took more than 92 nodes; a wish far out of reach of the whole table took
 * 19,000, 18 s of them, and found nothing better.
 */
export function patient(search: Search): Work {
  let best = Infinity;
  let since = 0;
  return {
    get incumbent() {
      return search.incumbent;
    },
    step: () => {
      const merit = search.incumbent?.merit ?? Infinity;
      if (merit < best) [best, since] = [merit, search.nodes];
      return search.step() && search.nodes < since + PATIENCE;
    },
  };
}

/** The best blend found, by the problem's objective, of all that miss no more than these doses. */
export function* bestAsNear<P>(
  problem: BlendProblem,
  { doses, miss }: Pick<Nearest, 'doses' | 'miss'>,
  { clock, until, progress }: SearchBudget<P>,
): Run<P, Doses> {
  const search = new Search(problem, 'objective', slackOf(miss), 0);
  search.offer(doses);
  if (!clock.over) yield* run(clock, patient(search), until, () => progress(search));
  return search.incumbent?.doses ?? doses;
}

/** What is proven where closeness is what the brief asks for. */
export function proofOfNearest({ miss, bound, tolerance }: Omit<Nearest, 'doses'>): Proof {
  const proven = miss - bound <= tolerance * (1 + 1e-9) + 1e-12;
  return { status: proven ? 'optimal' : 'within_gap', lower_bound: bound, gap: gapOf(miss, bound) };
}
