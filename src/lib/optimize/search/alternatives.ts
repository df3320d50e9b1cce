// The best of the blends that are still open, as one blend after the other is closed by leaving out hops:
// exact, as the open blends are covered by regions, each with some hops out (Lawler 1972), searched together,
// the one with the lowest bound first.
import { AllowedSearch } from './allowed.ts';
import type { Incumbent } from './incumbent.ts';
import type { SearchState } from './search.ts';
import { Search } from './search.ts';
import type { Goal } from './primal-heuristic.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { worstMiss } from '#optimize/problem/evaluation.ts';
import type { Doses } from '#optimize/problem/doses.ts';

/** The problem with some varieties out. */
export function without(problem: BlendProblem, banned: ReadonlySet<number>): BlendProblem {
  const columns = problem.columns.map((c) => (banned.has(c.variety) ? { ...c, most: 0 } : c));
  return { ...problem, columns };
}

/** Varieties with a dose. */
export function varietiesOf(problem: BlendProblem, { columns, doses }: Doses): Set<number> {
  return new Set(columns.filter((_, k) => doses[k]! > 0).map((j) => problem.columns[j]!.variety));
}

/**
 * Some varieties out, and the search for the best blend without them, begun at the first step. Where
 * the least miss is sought, a blend that keeps the hard limits is sought before.
 */
class Region {
  readonly banned: ReadonlySet<number>;
  readonly problem: BlendProblem;
  /** Proven bound of the region this one was cut from. */
  readonly floor: number;
  search: Search | null = null;
  readonly #goal: Goal;
  readonly #met: readonly Doses[];
  #allowed: AllowedSearch | null = null;

  /** @param met blends known from elsewhere. */
  constructor(
    problem: BlendProblem,
    goal: Goal,
    banned: ReadonlySet<number>,
    floor: number,
    met: readonly Doses[],
  ) {
    this.banned = banned;
    this.problem = without(problem, banned);
    this.floor = floor;
    this.#goal = goal;
    this.#met = met;
  }

  step(): void {
    if (this.search) this.search.step();
    else if (this.#goal === 'objective') this.#begin(0);
    else this.#seekAllowed();
  }

  #seekAllowed(): void {
    if (this.#allowed) this.#allowed.step();
    else {
      this.#allowed = new AllowedSearch(this.problem);
      for (const doses of this.#met) this.#allowed.offer(doses);
    }
    const doses = this.#allowed.incumbent;
    if (doses) this.#begin(worstMiss(this.problem, doses) + 1e-9, doses);
  }

  #begin(slackMost: number, ...known: readonly Doses[]): void {
    this.search = new Search(this.problem, this.#goal, 0, slackMost);
    for (const doses of [...known, ...this.#met]) this.search.offer(doses);
  }

  get incumbent(): Incumbent | null {
    return this.search?.incumbent ?? null;
  }

  get bound(): number {
    if (!this.search) return this.done ? Infinity : this.floor;
    return Math.max(this.floor, this.search.state.bound);
  }

  get done(): boolean {
    return this.search ? this.search.state.done : this.#allowed?.allowed === 'none';
  }
}

/** Best of the open blends so far; `problem` has the hops out that its region leaves out. */
export interface BestOpenBlend extends Incumbent {
  readonly problem: BlendProblem;
  readonly tolerance: number;
}

/** Searches for one blend after another; `exclude` closes what has been found. */
export class Alternatives {
  private readonly problem: BlendProblem;
  private readonly goal: Goal;
  private regions: Region[] = [];
  /** Blends met on the way, by their hops: what one region finds may serve another. */
  private readonly met: Doses[] = [];

  constructor(problem: BlendProblem, goal: Goal) {
    this.problem = problem;
    this.goal = goal;
    this.open(new Set(), 0);
  }

  private open(banned: ReadonlySet<number>, floor: number): void {
    this.regions.push(new Region(this.problem, this.goal, banned, floor, [...this.met]));
  }

  /** From here on only blends that lack one of these hops. `floor`: proven bound on all of them. */
  exclude(varieties: ReadonlySet<number>, floor: number): void {
    const { required } = this.problem;
    const hit = (p: Region) => [...varieties].some((v) => p.banned.has(v));
    const cut = this.regions.filter((p) => !hit(p));
    this.regions = this.regions.filter(hit);
    for (const region of cut) {
      const { incumbent } = region;
      if (incumbent) this.met.push(incumbent.doses);
      for (const v of varieties) {
        if (required.includes(v)) continue;
        const banned = new Set([...region.banned, v]);
        const covered = this.regions.some((p) => [...p.banned].every((b) => banned.has(b)));
        if (!covered) this.open(banned, Math.max(floor, region.bound));
      }
    }
  }

  private get leading(): Region | null {
    let best: Region | null = null;
    for (const region of this.regions) {
      const merit = region.incumbent?.merit ?? Infinity;
      if (merit < (best?.incumbent?.merit ?? Infinity)) best = region;
    }
    return best;
  }

  get incumbent(): Incumbent | null {
    return this.leading?.incumbent ?? null;
  }

  /** Best open blend, with the region it lies in. */
  get choice(): BestOpenBlend | null {
    const search = this.leading?.search;
    if (!search) return null;
    const { problem, tolerance, incumbent } = search;
    return { ...incumbent!, problem, tolerance };
  }

  get state(): SearchState {
    const { incumbent } = this;
    const open = this.regions.reduce((least, p) => Math.min(least, p.bound), Infinity);
    return {
      incumbent,
      bound: Math.min(open, incumbent?.merit ?? Infinity),
      done: !this.next(),
    };
  }

  /**
   * The region to work on: the lowest bound, if it may still beat the best blend. By less than what counts
   * as proven it need only where its own blend comes as near: that search ends by itself.
   */
  private next(): Region | null {
    const region = this.leading;
    const lead = region?.search;
    const merit = lead?.incumbent?.merit ?? Infinity;
    const tolerance = lead?.tolerance ?? 0;
    const enough = lead ? merit - tolerance : Infinity;
    let next: Region | null = null;
    for (const p of this.regions) {
      const { bound } = p;
      const near = (p.incumbent?.merit ?? Infinity) <= merit + tolerance;
      if (p.done || bound > (lead && near ? Math.max(enough, lead.cutoff) : enough)) continue;
      if (!next || bound < next.bound) next = p;
    }
    return next;
  }

  /** One unit of work. Returns whether anything is left. */
  step(): boolean {
    const region = this.next();
    if (!region) return false;
    region.step();
    return this.next() !== null;
  }
}
