// Whether the hard limits leave any blend at all: a held bitterness window, required hops, stock and
// stage limits in whole weighing steps. Goes by steps on the caller's clock and ends in one of
// three ways: a blend, the proof that there is none, or neither in time, which is never reported as a clash.
import { run, type Run, type RunBudget, type Work } from '#optimize/pacing/clock.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { Search } from './search.ts';
import { NO_DOSES, type Doses } from '#optimize/problem/doses.ts';

/** A blend that keeps the hard limits; `none`: proven that no blend does. */
export type Allowed = Doses | 'none' | 'unknown';

/**
 * Steps taken in any case, so that a search that is stopped at once still has a blend to show where
 * one is at hand.
 */
const STEPS_LEAST = 12;

export class AllowedSearch implements Work {
  readonly #search: Search;
  #more: boolean;

  constructor(problem: BlendProblem) {
    const bitter = problem.bitter?.held ? problem.bitter : null;
    this.#search = new Search({ ...problem, axes: [], bitter }, 'objective', 0, 0);
    this.#more = !this.#search.offer(NO_DOSES);
  }

  /** Takes a blend known from elsewhere, where it keeps the limits. */
  offer(doses: Doses): void {
    if (this.#search.offer(doses)) this.#more = false;
  }

  get incumbent(): Doses | null {
    return this.#search.incumbent?.doses ?? null;
  }

  /** What is known by now. */
  get allowed(): Allowed {
    return this.incumbent ?? (this.#more ? 'unknown' : 'none');
  }

  step(): boolean {
    if (this.#more) this.#more = this.#search.step() && !this.#search.incumbent;
    return this.#more;
  }
}

/** A blend that keeps the hard limits, whatever it does to the wishes. */
export function* allowedBlend<P>(
  problem: BlendProblem,
  { clock, until, progress }: RunBudget<P>,
): Run<P, Allowed> {
  const search = new AllowedSearch(problem);
  for (let step = 0; step < STEPS_LEAST && search.step(); step += 1);
  if (search.allowed === 'unknown' && !clock.over) yield* run(clock, search, until, progress);
  return search.allowed;
}
