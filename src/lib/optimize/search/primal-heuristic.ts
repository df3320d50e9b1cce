// Turns a relaxed blend into a real one: few hops, doses that are nothing or enough, whole weighing
// steps, judged at its own load. Finds good blends early; those it misses are left to the search.
import type { GramsPerLitre } from '#shared/units.ts';
import {
  excess,
  meetsLimits,
  objectiveOf,
  overshoot,
  TOLERANCE,
  worstMiss,
} from '#optimize/problem/evaluation.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { limitsAgainst } from '#optimize/problem/limits.ts';
import { leastDose, leastOf, type BlendProblem } from '#optimize/problem/problem.ts';
import { buysPackages, packagesIn, withPackages } from '#optimize/problem/packages.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import { withinCounts } from './few.ts';
import type { Decision, Node } from '#optimize/relaxation/node.ts';
import type { MasterProgram, Relaxed, RelaxedNode } from '#optimize/relaxation/master-program.ts';

/** What makes one blend better than another. */
export type Goal = 'objective' | 'slack';

/** Merit of a blend that keeps all hard limits; lower is better; infinite if it does not. */
export function meritOf(problem: BlendProblem, doses: Doses, goal: Goal, slack: number): number {
  if (!meetsLimits(problem, doses)) return Infinity;
  if (goal === 'slack') {
    return overshoot(problem, doses, Infinity) <= TOLERANCE ? worstMiss(problem, doses) : Infinity;
  }
  return overshoot(problem, doses, slack) <= TOLERANCE ? objectiveOf(problem, doses) : Infinity;
}

/** Blends looked at in steps and swaps of steps before a rounding is taken as it is. */
const POLISH_LOOKS = 1000;
/** Ways to whole steps that are improved, the best first. */
const POLISHED = 2;
/** Effort of judging one column of a blend. */
const LOOK_PER_COLUMN = 50;
const DIVE_SOLVES = 24;
/** Lots of packages opened before it is given up. */
const OPENED_MOST = 8;

/** Numbers of steps to begin from. */
interface Start {
  readonly columns: readonly number[];
  readonly counts: number[];
  readonly bounds: readonly { low: number; high: number }[];
  readonly badness: number;
}

export class PrimalHeuristic {
  private readonly program: MasterProgram;
  private readonly problem: BlendProblem;
  private readonly goal: Goal;

  constructor(program: MasterProgram, goal: Goal) {
    this.program = program;
    this.problem = program.problem;
    this.goal = goal;
  }

  /**
   * Real blends near a relaxed one of this node; there may be none.
   * @param cutoff merit to beat.
   */
  *blendsNear(whole: Node, near: Relaxed, cutoff: number): Resting<Doses[]> {
    const { problem } = this;
    const { node, relaxed } = (yield* this.opened(whole, near, cutoff)) ?? {
      node: whole,
      relaxed: near,
    };
    const solve = (few: Node, basis: Relaxed['basis']) => this.solve(few, basis, cutoff);
    const counted = yield* withinCounts(problem, { node, relaxed }, solve);
    if (!counted) return [];
    const { doses, basis } = counted.relaxed;
    const load = this.wholeLoad(this.loadOf(doses), node);
    const fixed = { ...counted.node, interval: { from: load, to: load } };
    const dived =
      (yield* this.dive(fixed, basis, cutoff)) ?? (yield* this.dive(counted.node, basis, cutoff));
    if (!dived) return [];
    if (problem.step === 0) return [dived.relaxed.doses];
    return yield* this.stepped(dived, node, cutoff);
  }

  /**
   * The node with as few lots opened as suffice: one more is opened at a time, the one of which the
   * relaxed blend then has most of a package. `null` where none is found, or no packages are bought.
   */
  private *opened(start: Node, near: Relaxed, cutoff: number): Resting<RelaxedNode | null> {
    const { problem } = this;
    if (this.goal === 'slack' || !buysPackages(problem)) return null;
    let node = start;
    let relaxed = near;
    const inside = new Set<number>();
    for (let d = node.decisions; d; d = d.before) {
      if (d.kind === 'packages' && d.lower > 0) inside.add(d.bought);
    }
    for (let lots = 0; lots < OPENED_MOST; lots += 1) {
      let pick = -1;
      let most = 1e-6;
      for (const [b, packages] of packagesIn(problem, relaxed.doses)) {
        if (!inside.has(b) && packages > most) [pick, most] = [b, packages];
      }
      if (pick < 0) return null;
      inside.add(pick);
      const { decisions: before } = node;
      node = {
        ...node,
        decisions: { kind: 'packages', bought: pick, lower: 1, upper: Infinity, before },
      };
      const shut: Node = { ...node, decisions: { kind: 'shut', before: node.decisions } };
      const alone = yield* this.solve(shut, relaxed.basis, cutoff);
      if (alone.status === 'solved') return { node: shut, relaxed: alone };
      relaxed = yield* this.solve(node, relaxed.basis, cutoff);
      if (relaxed.status !== 'solved') return null;
    }
    return null;
  }

  /**
   * Settles doses on whole weighing steps one after the other, the nearest first, the others free to
   * make up for it.
   */
  private *settleSteps(
    { node: start, relaxed: first }: RelaxedNode,
    cutoff: number,
  ): Resting<Doses | null> {
    const { step } = this.problem;
    const support = Int32Array.from(first.doses.columns);
    let node: Node = { ...start, columns: support };
    let relaxed = first;
    const settled = new Set<number>();
    while (settled.size < support.length) {
      const { columns, doses } = relaxed.doses;
      let pick = -1;
      let nearest = Infinity;
      doses.forEach((dose, k) => {
        const off = Math.abs(dose / step - Math.round(dose / step));
        if (this.isLeftOver(columns[k]!) || settled.has(columns[k]!)) return;
        if (off < nearest) [pick, nearest] = [k, off];
      });
      if (pick < 0) break;
      const column = columns[pick]!;
      const exact = doses[pick]! / step;
      const near = Math.round(exact);
      let tried: Relaxed | null = null;
      for (const whole of [near, exact > near ? near + 1 : near - 1]) {
        const at = whole * step;
        const decisions: Decision = {
          kind: 'dose',
          column,
          lower: at,
          upper: at,
          before: node.decisions,
        };
        const next = { ...node, decisions };
        tried = yield* this.solve(next, relaxed.basis, cutoff);
        if (tried.status === 'solved') {
          node = next;
          break;
        }
        tried = null;
      }
      if (!tried) return null;
      settled.add(column);
      relaxed = tried;
    }
    const { columns, doses } = relaxed.doses;
    const weighed = columns.flatMap((j, k) => (this.isLeftOver(j) ? [] : [k]));
    return {
      columns: weighed.map((k) => columns[k]!),
      doses: weighed.map((k) => Math.round(doses[k]! / step) * step),
    };
  }

  private isLeftOver(column: number): boolean {
    return this.problem.columns[column]!.stage === null;
  }

  private solve(node: Node, basis: Relaxed['basis'], cutoff: number): Resting<Relaxed> {
    return this.goal === 'objective'
      ? this.program.leastObjective(node, basis, cutoff)
      : this.program.leastSlack(node, basis, 0, cutoff);
  }

  private loadOf({ columns, doses }: Doses): GramsPerLitre {
    return columns.reduce((sum, j, k) => sum + this.problem.dry[j]! * doses[k]!, 0);
  }

  private wholeLoad(load: GramsPerLitre, { interval: { from, to } }: Node): number {
    const { step } = this.problem;
    const whole = step > 0 ? Math.round(load / step) * step : load;
    return Math.min(Math.max(whole, from), to);
  }

  /** Settles doses between nothing and the least, one at a time. */
  private *dive(start: Node, basis: Relaxed['basis'], cutoff: number): Resting<RelaxedNode | null> {
    const { least } = this.problem;
    let node = start;
    let relaxed = yield* this.solve(node, basis, cutoff);
    for (let round = 0; round < DIVE_SOLVES; round += 1) {
      if (relaxed.status !== 'solved') return null;
      const { columns, doses } = relaxed.doses;
      let pick = -1;
      let nearest = Infinity;
      doses.forEach((dose, k) => {
        if (dose >= least * (1 - TOLERANCE) || this.isLeftOver(columns[k]!)) return;
        const distance = Math.min(dose, least - dose);
        if (distance < nearest) [pick, nearest] = [k, distance];
      });
      if (pick < 0) return { node, relaxed };
      const column = columns[pick]!;
      const up = doses[pick]! > least / 2;
      const tried = yield* this.solve(this.settled(node, column, up), relaxed.basis, cutoff);
      if (tried.status === 'solved') {
        node = this.settled(node, column, up);
        relaxed = tried;
      } else {
        node = this.settled(node, column, !up);
        relaxed = yield* this.solve(node, relaxed.basis, cutoff);
      }
    }
    return null;
  }

  private settled(node: Node, column: number, up: boolean): Node {
    const { least, columns } = this.problem;
    const before = node.decisions;
    const decision: Decision = up
      ? { kind: 'dose', column, lower: least, upper: columns[column]!.most, before }
      : { kind: 'dose', column, lower: 0, upper: 0, before };
    return { ...node, decisions: decision };
  }

  /** The best ways to whole steps, improved step by step. */
  private *stepped(dived: RelaxedNode, node: Node, cutoff: number): Resting<Doses[]> {
    const { step } = this.problem;
    const { columns: all, doses: amounts } = dived.relaxed.doses;
    const weighed = all.flatMap((j, k) => (this.isLeftOver(j) ? [] : [k]));
    const near = (whole: (steps: number) => number): Doses => ({
      columns: weighed.map((k) => all[k]!),
      doses: weighed.map((k) => whole(amounts[k]! / step) * step),
    });
    const starts = [near(Math.round), near((steps) => Math.ceil(steps - 1e-6))];
    const settled = yield* this.settleSteps(dived, cutoff);
    if (settled) starts.unshift(settled);
    const inside = starts.map(({ columns, doses }): Start => {
      const bounds = columns.map((j) => this.stepBounds(j, node));
      const counts = doses.map((dose, k) => {
        const { low, high } = bounds[k]!;
        return Math.min(Math.max(Math.round(dose / step), low), high);
      });
      const badness = this.badness({ columns, doses: counts.map((c) => c * step) });
      return { columns, counts, bounds, badness };
    });
    inside.sort((a, b) => a.badness - b.badness);
    const polished: Doses[] = [];
    for (const start of inside.slice(0, POLISHED)) polished.push(yield* this.polish(start));
    return polished;
  }

  private stepBounds(column: number, node: Node): { low: number; high: number } {
    const { step, columns } = this.problem;
    let lower = leastDose(this.problem);
    let upper = columns[column]!.most;
    for (let d = node.decisions; d; d = d.before) {
      if (d.kind !== 'dose' || d.column !== column) continue;
      lower = Math.max(lower, d.lower);
      upper = Math.min(upper, d.upper);
    }
    return { low: Math.ceil(lower / step - 1e-6), high: Math.floor(upper / step + 1e-6) };
  }

  /** Steepest descent over single steps and swaps, first to feasibility, then to a better blend. */
  private *polish({ columns, counts, bounds, badness: start }: Start): Resting<Doses> {
    const { effort } = this.program;
    const { step } = this.problem;
    const doses = counts.map((c) => c * step);
    const blend = { columns, doses };
    let looked = 0;
    const badness = () => {
      looked += 1;
      return this.badness(blend);
    };
    let best = start;
    const shift = (k: number, by: number) => {
      counts[k]! += by;
      doses[k] = counts[k]! * step;
    };
    const open = (k: number, by: number) =>
      counts[k]! + by >= bounds[k]!.low && counts[k]! + by <= bounds[k]!.high;
    while (looked < POLISH_LOOKS) {
      let move: [number, number, number, number] | null = null;
      for (let k = 0; k < columns.length; k += 1) {
        if (effort.due) {
          yield;
          effort.rested();
        }
        effort.spend(2 * columns.length * columns.length * LOOK_PER_COLUMN);
        for (const by of [-1, 1]) {
          if (!open(k, by)) continue;
          shift(k, by);
          const value = badness();
          if (value < best - 1e-12) [best, move] = [value, [k, by, -1, 0]];
          for (let l = 0; l < columns.length; l += 1) {
            if (l === k || !open(l, -by)) continue;
            shift(l, -by);
            const swapped = badness();
            if (swapped < best - 1e-12) [best, move] = [swapped, [k, by, l, -by]];
            shift(l, by);
          }
          shift(k, -by);
        }
      }
      if (!move) break;
      shift(move[0], move[1]);
      if (move[2] >= 0) shift(move[2], move[3]);
    }
    return { columns, doses };
  }

  /** Violation first, then the goal. */
  private badness(doses: Doses): number {
    const { problem, program } = this;
    const blend = withPackages(problem, doses);
    const weight = objectiveOf(problem, blend) / program.costScale;
    let hard = 0;
    for (const limit of limitsAgainst(problem, blend.columns))
      hard += Math.max(0, excess(limit, blend) - TOLERANCE);
    for (const v of problem.required) {
      let sum = 0;
      blend.columns.forEach((j, k) => {
        const { variety, stage } = problem.columns[j]!;
        if (variety === v && stage !== null) sum += blend.doses[k]!;
      });
      hard += Math.max(0, 1 - TOLERANCE - sum / leastOf(problem, v));
    }
    if (hard > 0) return 1e9 * (1 + hard);
    const slack = this.goal === 'slack' ? Infinity : program.slack;
    const over = overshoot(problem, blend, slack);
    if (over > TOLERANCE) return 1e6 * (1 + over);
    return this.goal === 'slack' ? worstMiss(problem, blend) + 1e-6 * weight : weight;
  }
}
