// The best blend of a search so far, and what follows from it: the gap that counts as proven, the bound a node
// must stay under to hold a better blend, and how large a dry-hop load such a blend can have. Where every
// blend's objective is a whole number of weighing steps, a better one is a whole step better.
import type { GramsPerLitre } from '#shared/units.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { stepObjective } from '#optimize/problem/objectives.ts';
import { withPackages } from '#optimize/problem/packages.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { meritOf, type Goal } from './primal-heuristic.ts';
import { provenSlackAt } from './proof.ts';

/** Gap counted as proven, as a fraction of the objective. */
export const PROVEN_GAP = 1e-3;

/** Best blend so far. */
export interface Incumbent {
  readonly doses: Doses;
  readonly merit: number;
}

export class IncumbentCutoff {
  readonly problem: BlendProblem;
  readonly goal: Goal;
  /** Intensities by which the wishes are widened (goal `objective`). */
  readonly slack: number;
  incumbent: Incumbent | null = null;
  /** Objective above which no blend is wanted (goal `objective`); set before the first step. */
  ceiling = Infinity;
  /**
   * What counts as proven. `fine`: no more than the gap where the objective does not come in whole
   * weighing steps; `coarse`: the same closeness however small the miss is.
   */
  precision: 'usual' | 'fine' | 'coarse' = 'usual';
  protected readonly slackMost: number;
  /** Objective of one weighing step where every blend's objective is a whole number of them; or 0. */
  protected readonly quantum: number;
  protected readonly cheapestStep: number;
  /** Least objective of a dry hop, per g/L. */
  private readonly dryLeast: GramsPerLitre;

  /**
   * @param slack intensities by which the wishes are widened (goal `objective`).
   * @param slackMost largest slack that need be considered (goal `slack`).
   */
  constructor(problem: BlendProblem, goal: Goal, slack: number, slackMost: number) {
    this.problem = problem;
    this.goal = goal;
    this.slack = goal === 'slack' ? 0 : slack;
    this.slackMost = goal === 'slack' ? slackMost : slack;
    const { cheapest, isCommon } = stepObjective(problem);
    this.cheapestStep = cheapest;
    this.dryLeast = problem.objective.reduce(
      (a, b, j) => (problem.dry[j] ? Math.min(a, b) : a),
      Infinity,
    );
    this.quantum = goal === 'objective' && isCommon ? this.cheapestStep : 0;
  }

  /** Takes a blend known from elsewhere. */
  offer(found: Doses): boolean {
    const doses = withPackages(this.problem, found);
    const merit = meritOf(this.problem, doses, this.goal, this.slack);
    if (!(merit < (this.incumbent?.merit ?? Infinity) - 1e-12) || merit > this.ceiling)
      return false;
    this.incumbent = { doses, merit };
    return true;
  }

  /** Gap that counts as proven. */
  get tolerance(): number {
    const merit = this.incumbent?.merit ?? 0;
    if (this.goal === 'slack') return provenSlackAt(merit, this.precision === 'coarse');
    return Math.max(PROVEN_GAP * merit, this.precision === 'fine' ? 0 : this.cheapestStep);
  }

  /** Bound a node must stay under to be kept: none above it can hold a better blend. */
  get cutoff(): number {
    if (!this.incumbent) return this.highest;
    const { merit } = this.incumbent;
    const { tolerance, quantum, cheapestStep, goal } = this;
    // In whole weighing steps a better blend is a whole step better.
    if (quantum > 0) return merit - quantum * (1 - 1e-6);
    // Where steps of different hops count differently, it may be better by any part of one.
    const anyPart = goal === 'objective' && cheapestStep > 0;
    return merit - (anyPart ? PROVEN_GAP * merit : tolerance);
  }

  /** Merit of any blend that is not below the cutoff, at least. */
  get beyond(): number {
    return this.quantum > 0 && this.incumbent ? this.incumbent.merit : this.cutoff;
  }

  /** Objective from which on a blend is no better than the best one. */
  protected get worth(): number {
    return this.quantum > 0 ? this.cutoff : (this.incumbent?.merit ?? this.ceiling);
  }

  /** Merit no blend may exceed. */
  protected get highest(): number {
    return this.goal === 'slack' ? this.slackMost : this.ceiling;
  }

  /** A bound in whole weighing steps where the objective comes in such. */
  raised(bound: number): number {
    const { quantum } = this;
    return quantum > 0 ? Math.ceil(bound / quantum - 1e-6) * quantum : bound;
  }

  /** Largest load a blend below `worth` can have: each gram of dry hop adds to the objective. */
  protected loadMost(worth: number): GramsPerLitre {
    const { loadMax, step } = this.problem;
    const most =
      this.goal === 'objective' && worth < Infinity && this.dryLeast > 0
        ? Math.min(loadMax, worth / this.dryLeast)
        : loadMax;
    return step > 0 ? Math.floor(most / step + 1e-9) * step : most;
  }
}
