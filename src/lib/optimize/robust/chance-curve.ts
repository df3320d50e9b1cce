// The lightest blend for each of several shares of lots: searches over the same draws that take turns. A blend
// that holds in a share holds in every smaller one, and the least that a share takes bounds every larger one too,
// so each search hands its blends to the smaller shares and its bounds to the larger ones.
import type { Resting, Work } from '#optimize/pacing/clock.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import type { ChanceDraws } from './chance-draws.ts';
import { ChanceSearch, type MiddleBlend } from './chance-search.ts';
import type { Scored } from './moves.ts';

/** Steps of one search before the next has its turn. */
const TURN_STEPS = 12;
/** Work a search has for its first blend before the next has its turn, as an `Effort` counts it. */
const FIRST_EFFORT = 600_000_000;

/** What is known for one share. */
export interface ChancePoint {
  /** Share of lots asked for. */
  readonly share: number;
  /** The best blend that holds in it; `null` while none is known. */
  readonly best: Scored | null;
  /** Proven lower bound on the objective of any blend that does; infinite where none does. */
  readonly bound: number;
  /** Share of draws in which no blend can do better, as far as proven. */
  readonly shareAtMost: number;
  /** Whether nothing is left to look at. */
  readonly done: boolean;
}

export class ChanceCurve implements Work {
  private readonly searches: readonly ChanceSearch[];
  private readonly reported: (Doses | null)[];
  private readonly work: Resting<void>;
  private over = false;
  #bettered = 0;

  /** @param shares above 0 and up to 1, from the smallest. */
  constructor(draws: ChanceDraws, shares: readonly number[], middle: MiddleBlend) {
    this.searches = shares.map((share) => new ChanceSearch(draws, share, middle));
    this.reported = shares.map(() => null);
    this.work = this.working();
  }

  /** Share of the draws in which the blend for the middle lots holds; draws its lots where that was not done. */
  holdsInMiddle(): number {
    const { judge, middle } = this.searches[0]!;
    return judge.judge(middle.doses).held / judge.drawn.count;
  }

  /** How often any point got a better blend. */
  get incumbent(): number {
    return this.#bettered;
  }

  /** One unit of work, a few milliseconds at most. Returns whether anything is left. */
  step(): boolean {
    if (!this.over) this.over = this.work.next().done === true;
    return !this.over;
  }

  /** What is known so far, from the smallest share. */
  get points(): ChancePoint[] {
    let least = 0;
    return this.searches.map((search) => {
      const { best, bound, shareAtMost, done } = search.state;
      least = Math.max(least, bound);
      return { share: search.share, best, bound: least, shareAtMost, done };
    });
  }

  /** First a blend for each share, one after the other; then whichever has the widest gap for its work. */
  private *working(): Resting<void> {
    const { searches } = this;
    for (const [i, search] of searches.entries()) {
      const before = searches[i - 1];
      if (before) search.begin(before.guards);
      const enough = search.effort + FIRST_EFFORT;
      while (!search.incumbent && search.effort < enough && search.step()) yield;
      this.tell(i);
    }
    for (let next = this.next(); next >= 0; next = this.next()) {
      const search = searches[next]!;
      for (let steps = 0; steps < TURN_STEPS && search.step(); steps += 1) yield;
      this.tell(next);
      yield;
    }
  }

  /** The search to go on with; -1 where all are done. */
  private next(): number {
    let next = -1;
    let most = -1;
    this.points.forEach(({ best, bound, done }, i) => {
      if (done) return;
      const gap = best ? 1 - bound / best.score.objective : 1;
      const worth = gap / (1 + this.searches[i]!.effort);
      if (worth > most) [next, most] = [i, worth];
    });
    return next;
  }

  /** Hands the blend and the bound of one search to the others. */
  private tell(from: number): void {
    const { searches, reported } = this;
    const { best, bound } = searches[from]!.state;
    for (const larger of searches.slice(from + 1)) larger.raise(bound);
    if (!best || best.doses === reported[from]) return;
    reported[from] = best.doses;
    this.#bettered += 1;
    searches.forEach((other, i) => i !== from && other.offer(best.doses));
  }
}
