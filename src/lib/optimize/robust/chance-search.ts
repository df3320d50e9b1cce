// The lightest blend whose wishes hold in a share of drawn lots. A first one comes from exact searches that count
// with worse lots than the middle ones (guarded.ts) and from moves (moves.ts); then better ones and the proven
// bound (chance-tree.ts) are worked on in turn. Goes by steps, so that it can be stopped at any time with the best
// blend so far and what is proven of it.
import { randomFrom, type Random } from '#engine/doubt/sampling.ts';
import type { Resting, Work } from '#optimize/pacing/clock.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { IncumbentCutoff } from '#optimize/search/incumbent.ts';
import { Search } from '#optimize/search/search.ts';
import { CHANCE_SAMPLING, type ChanceDraws } from './chance-draws.ts';
import { ChanceTree, type IncumbentKeeper } from './chance-tree.ts';
import type { DrawnLots } from './drawn-lots.ts';
import type { Ratios } from './guarded.ts';
import { DrawnJudge } from './judging.ts';
import { Moves, type Scored } from './moves.ts';

/**
 * A blend chosen because it holds in just enough draws holds in fewer other ones, by about this many standard
 * errors of the share. Seen over the table at 80 %: 2.6 points. So a larger share is sought by so much.
 */
const FLATTERED = 0.9;

/**
 * Where a wish is narrow, the difference is larger than that: so in the draws that confirm it a blend has to hold
 * in the share asked for, less so many standard errors of it.
 */
const CONFIRMED_LESS = 2.5;

/** Share of its draws in which a blend is sought to hold, so that it holds in `share` of others. */
export function soughtShare(share: number, draws: number): number {
  return Math.min(1, share + FLATTERED * standardError(share, draws));
}

function standardError(share: number, draws: number): number {
  return Math.sqrt((share * (1 - share)) / draws);
}

/** Judges by the draws that confirm a blend for a share. */
function confirmingJudge(problem: BlendProblem, drawn: DrawnLots, share: number): DrawnJudge {
  const enough = share - CONFIRMED_LESS * standardError(share, drawn.count);
  return new DrawnJudge(problem, drawn, Math.max(1, Math.ceil(enough * drawn.count - 1e-9)));
}

/** Steps of one guarded search, and how many follow one another, each with larger guards. */
const STEPS_ON_GUARD = 250;
const GUARDS_RAISED = 14;
/** How much a guard is raised at a time where its wish is missed most, at least and at most. */
const RAISED_FIRST = 0.4;
const RAISED_LEAST = 0.15;
const RAISED_MOST = 0.65;
/** Share of the guards of the best round with which another round begins. */
const START_SHARE = 0.5;
/** Spread of the weights by which the guards of one round differ from those of another, logarithmic. */
const WEIGHTS_SPREAD = 0.7;
/** Blends that hold in fewer draws than this share of those needed are not worth moves. */
const WORTH_MOVES = 0.7;
/** The same for moves among their own hops only, while no blend is known. */
const WORTH_OWN = 0.5;
/** Random moves tried after each round. */
const WANDERED = 4000;
/** Rounds before the first look at the bound, and their share of the work from then on. */
const ROUNDS_FIRST = 10;
const ROUNDS_SHARE = 0.3;

export interface ChanceState {
  /** The best blend that holds in the share asked for; `null` while none is known. */
  readonly best: Scored | null;
  /** The one that holds in most draws. */
  readonly widest: Scored | null;
  /** Proven lower bound on the objective of any blend that holds in the share; infinite where none does. */
  readonly bound: number;
  /** Share of draws in which no blend can do better, as far as proven. */
  readonly shareAtMost: number;
  /** Whether nothing is left to look at. */
  readonly done: boolean;
}

/** The best blend for the middle lots, and what every blend costs at least; fixed additions do not count. */
export interface MiddleBlend {
  readonly doses: Doses;
  readonly bound: number;
}

export class ChanceSearch implements Work {
  readonly judge: DrawnJudge;
  private readonly problem: BlendProblem;
  private readonly moves: Moves;
  private readonly bar: IncumbentCutoff;
  private readonly tree: ChanceTree;
  private readonly random: Random = randomFrom(CHANCE_SAMPLING.seed / 1e3);
  /** Draws moves. */
  private readonly drawing: Random = randomFrom(0.3);
  private readonly work: Resting<void>;
  /** What every blend that holds in the share costs at least, as far as others know. */
  private floor: number;
  private over = false;
  private explored = false;
  private rounds = 0;
  /** Guards at which the lightest blend was found. */
  private guarding: readonly number[] = [];
  /** Work of the searches on their guard. */
  private searched = 0;
  /** Blends others came upon; and the columns of those moves began from. */
  private readonly offered: Doses[] = [];
  private readonly tried = new Set<string>();

  /** @param share of draws in which a blend is to hold, above 0 and up to 1. */
  constructor(
    private readonly draws: ChanceDraws,
    readonly share: number,
    readonly middle: MiddleBlend,
  ) {
    const { problem, chosenBy, confirming } = draws;
    const sought = soughtShare(share, chosenBy.count);
    const needed = Math.max(1, Math.ceil(sought * chosenBy.count - 1e-9));
    this.problem = problem;
    this.floor = middle.bound;
    this.judge = new DrawnJudge(problem, chosenBy, needed);
    const other = confirming && confirmingJudge(problem, confirming, share);
    this.moves = new Moves(problem, this.judge, other);
    this.bar = new IncumbentCutoff(problem, 'objective', 0, 0);
    this.tree = new ChanceTree(problem, this.judge, this.incumbents());
    this.work = this.working();
  }

  private incumbents(): IncumbentKeeper {
    const { bar, moves } = this;
    return {
      get cutoff() {
        return bar.cutoff;
      },
      get beyond() {
        return bar.beyond;
      },
      raised: (bound) => bar.raised(bound),
      offer: (doses) => {
        this.offered.push(doses);
        moves.score(doses, null);
        this.taken();
      },
    };
  }

  get incumbent(): Scored | null {
    return this.moves.best;
  }

  get state(): ChanceState {
    const { judge, explored, bar } = this;
    const { best, widest } = this.moves;
    const merit = best?.score.objective ?? Infinity;
    const bound = Math.min(merit, bar.raised(Math.max(this.floor, this.tree.bound)));
    const { count } = judge.drawn;
    const none = explored && !this.moves.holds ? (judge.needed - 1) / count : 1;
    const shareAtMost = Math.min(none, this.tree.possible / count);
    return { best, widest, bound, shareAtMost, done: this.over };
  }

  /** All work done, as an `Effort` counts it. */
  get effort(): number {
    return this.finding + this.tree.effort;
  }

  /** One unit of work, a few milliseconds at most. Returns whether anything is left. */
  step(): boolean {
    if (!this.over) this.over = this.work.next().done === true || this.settled;
    return !this.over;
  }

  /** Takes a blend known from elsewhere; where it holds in too few draws, moves may make up for it. */
  offer(doses: Doses): void {
    if (this.moves.score(doses, null)?.score.lacking !== 0) this.offered.push(doses);
    this.taken();
  }

  /** Guards at which the lightest blend was found; empty while there is none. */
  get guards(): readonly number[] {
    return this.guarding;
  }

  /** Begins near the guards of a search for another share; of use before the first step. */
  begin(guards: readonly number[]): void {
    if (this.rounds === 0) this.guarding = guards;
  }

  /** Takes a bound known from elsewhere: what every blend that holds in the share costs at least. */
  raise(bound: number): void {
    this.floor = Math.max(this.floor, bound);
  }

  /** Whether the bounds known without the tree already prove that no blend is lighter than the best one. */
  private get settled(): boolean {
    return this.moves.best !== null && this.floor >= this.bar.cutoff;
  }

  /** Gives the best blend to the tree as its cutoff. */
  private taken(): void {
    const { best } = this.moves;
    if (best) this.bar.offer(best.doses);
  }

  private *working(): Resting<void> {
    const { judge, moves, middle } = this;
    const start = moves.score(middle.doses, null);
    yield* this.amongOwn(start);
    const ratios = yield* this.draws.made(middle.doses);
    this.taken();
    if (start && start.held >= WORTH_MOVES * judge.needed) yield* moves.descend(start);
    this.taken();
    const proof = this.tree.explore();
    for (;;) {
      yield* this.round(ratios);
      yield* this.near();
      yield* moves.wander(this.drawing, WANDERED);
      this.taken();
      if (this.rounds < ROUNDS_FIRST) continue;
      while (this.tree.effort * ROUNDS_SHARE < this.finding * (1 - ROUNDS_SHARE)) {
        if (proof.next().done) {
          this.explored = true;
          return;
        }
        yield;
        yield* this.near();
      }
    }
  }

  /** Work put into finding blends, as an `Effort` counts it. */
  private get finding(): number {
    return this.searched + this.moves.effort;
  }

  /** While no blend is known: moves among the hops of this one, which need the draws of few lots only. */
  private *amongOwn(start: Scored | null): Resting<void> {
    const { problem, moves } = this;
    if (!start || moves.best) return;
    const hops = new Set(start.doses.columns.map((j) => problem.columns[j]!.variety));
    const own = [...hops].flatMap((v) => problem.columnsOfVariety[v]!);
    yield* moves.descend(start, own);
    this.taken();
  }

  /** Moves from blends that others came upon, once for each choice of hops. */
  private *near(): Resting<void> {
    const { problem, moves, judge } = this;
    for (let doses = this.offered.pop(); doses; doses = this.offered.pop()) {
      const whole = weighable(problem, doses);
      const key = whole.columns.join(' ');
      if (this.tried.has(key)) continue;
      this.tried.add(key);
      const scored = moves.score(whole, null);
      if (scored && scored.held >= WORTH_MOVES * judge.needed) yield* moves.descend(scored);
      this.taken();
    }
  }

  /** Exact searches, each with a larger guard on what the blend of the last one missed most. */
  private *round(ratios: Ratios): Resting<void> {
    const { problem, judge, moves, random } = this;
    const first = this.rounds === 0;
    this.rounds += 1;
    const sides = 2 * problem.axes.length + 2;
    const weights = Array.from({ length: sides }, () =>
      first ? 1 : Math.exp(random.normal() * WEIGHTS_SPREAD),
    );
    const by = first
      ? RAISED_FIRST
      : RAISED_LEAST + (RAISED_MOST - RAISED_LEAST) * random.uniform();
    let guards = weights.map((weight, side) => START_SHARE * weight * (this.guarding[side] ?? 0));
    let near: Scored | null = null;
    for (let i = 0; i < GUARDS_RAISED; i += 1) {
      const doses = yield* this.onGuard(ratios, guards);
      if (!doses) break;
      yield;
      const found = moves.score(doses, null);
      this.taken();
      if (found?.score.lacking === 0) {
        if (found.score.objective <= moves.best!.score.objective) this.guarding = guards;
        yield* moves.descend(found);
        break;
      }
      if (found && found.held >= WORTH_OWN * judge.needed) yield* this.amongOwn(found);
      if (found && found.held > (near?.held ?? WORTH_MOVES * judge.needed)) near = found;
      const missed = judge.missedBy(doses).map((count, side) => count * weights[side]!);
      const most = Math.max(...missed);
      if (most === 0) break;
      guards = guards.map((guard, side) => guard + (by * (missed[side] ?? 0)) / most);
    }
    this.taken();
    // Short of enough draws by little, and lighter: moves may make up for it.
    if (near) yield* moves.descend(near);
    this.taken();
  }

  /** The best blend of the guarded problem that is lighter than the best one known; `null` if none is found. */
  private *onGuard(ratios: Ratios, guards: readonly number[]): Resting<Doses | null> {
    const search = new Search(ratios.guarded(guards), 'objective', 0, 0);
    const { best } = this.moves;
    if (best) search.ceiling = this.bar.cutoff;
    for (let i = 0; i < STEPS_ON_GUARD && search.step(); i += 1) yield;
    this.searched += search.program.effort.total;
    return search.incumbent?.doses ?? null;
  }
}

/** Doses near to these that may be weighed. */
function weighable({ step, least, columns: all }: BlendProblem, { columns, doses }: Doses): Doses {
  const whole = doses.map((dose, k) => {
    const enough = Math.max(dose, least);
    const near = step > 0 ? Math.max(1, Math.round(enough / step)) * step : enough;
    return Math.min(near, all[columns[k]!]!.most);
  });
  return { columns, doses: whole };
}
