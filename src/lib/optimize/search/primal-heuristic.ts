// Turns a relaxed blend into a real one: few hops, doses that are nothing or enough, whole weighing
// steps, judged at its own load. Finds good blends early; what it misses, the search still finds.
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
import { leastOf, type BlendProblem } from '#optimize/problem/problem.ts';
import { buysPackages, packagesIn, withPackages } from '#optimize/problem/packages.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import type { Decision, Part } from '#optimize/relaxation/part.ts';
import type { Program, Relaxed } from '#optimize/relaxation/program.ts';

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
/** What it takes to judge one use of a blend. */
const LOOK_PER_USE = 50;
const DIVE_SOLVES = 24;
/** Lots of packages opened before it is given up. */
const OPENED_MOST = 8;

/** A part whose relaxed blend has doses that are nothing or enough. */
interface Dived {
  readonly part: Part;
  readonly relaxed: Relaxed;
}

/** Numbers of steps to begin from. */
interface Start {
  readonly uses: readonly number[];
  readonly counts: number[];
  readonly bounds: readonly { low: number; high: number }[];
  readonly badness: number;
}

export class PrimalHeuristic {
  private readonly program: Program;
  private readonly problem: BlendProblem;
  private readonly goal: Goal;

  constructor(program: Program, goal: Goal) {
    this.program = program;
    this.problem = program.problem;
    this.goal = goal;
  }

  /**
   * Real blends near a relaxed one of this part; none may come out.
   * @param cutoff merit to beat.
   */
  *blendsNear(whole: Part, near: Relaxed, cutoff: number): Resting<Doses[]> {
    const { part, relaxed } = (yield* this.opened(whole, near, cutoff)) ?? {
      part: whole,
      relaxed: near,
    };
    const few = this.fewHops(part, relaxed.doses);
    if (!few) return [];
    let doses = relaxed.doses;
    let basis = relaxed.basis;
    if (few !== part) {
      const restricted = yield* this.solve(few, basis, cutoff);
      if (restricted.status !== 'solved') return [];
      ({ doses, basis } = restricted);
    }
    const load = this.wholeLoad(this.loadOf(doses), part);
    const fixed = { ...few, interval: { from: load, to: load } };
    const dived =
      (yield* this.dive(fixed, basis, cutoff)) ?? (yield* this.dive(few, basis, cutoff));
    if (!dived) return [];
    if (this.problem.step === 0) return [dived.relaxed.doses];
    return yield* this.stepped(dived, part, cutoff);
  }

  /**
   * A part in which no more lots are opened than some that will do: one more at a time, that of which the
   * relaxed blend then has most of a package. `null` where none is found, or no packages are bought.
   */
  private *opened(start: Part, near: Relaxed, cutoff: number): Resting<Dived | null> {
    const { problem } = this;
    if (this.goal === 'slack' || !buysPackages(problem)) return null;
    let part = start;
    let relaxed = near;
    const inside = new Set<number>();
    for (let d = part.decisions; d; d = d.before) {
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
      const { decisions: before } = part;
      part = {
        ...part,
        decisions: { kind: 'packages', bought: pick, lower: 1, upper: Infinity, before },
      };
      const shut: Part = { ...part, decisions: { kind: 'shut', before: part.decisions } };
      const alone = yield* this.solve(shut, relaxed.basis, cutoff);
      if (alone.status === 'solved') return { part: shut, relaxed: alone };
      relaxed = yield* this.solve(part, relaxed.basis, cutoff);
      if (relaxed.status !== 'solved') return null;
    }
    return null;
  }

  /**
   * Settles doses on whole weighing steps one after the other, the nearest first, the others free to
   * make up for it.
   */
  private *settleSteps(
    { part: start, relaxed: first }: Dived,
    cutoff: number,
  ): Resting<Doses | null> {
    const { step } = this.problem;
    const columns = Int32Array.from(first.doses.uses);
    let part: Part = { ...start, columns };
    let relaxed = first;
    const settled = new Set<number>();
    while (settled.size < columns.length) {
      const { uses, doses } = relaxed.doses;
      let pick = -1;
      let nearest = Infinity;
      doses.forEach((dose, k) => {
        const off = Math.abs(dose / step - Math.round(dose / step));
        if (this.isUnused(uses[k]!) || settled.has(uses[k]!)) return;
        if (off < nearest) [pick, nearest] = [k, off];
      });
      if (pick < 0) break;
      const use = uses[pick]!;
      const exact = doses[pick]! / step;
      const near = Math.round(exact);
      let tried: Relaxed | null = null;
      for (const whole of [near, exact > near ? near + 1 : near - 1]) {
        const at = whole * step;
        const decisions: Decision = {
          kind: 'dose',
          use,
          lower: at,
          upper: at,
          before: part.decisions,
        };
        const next = { ...part, decisions };
        tried = yield* this.solve(next, relaxed.basis, cutoff);
        if (tried.status === 'solved') {
          part = next;
          break;
        }
        tried = null;
      }
      if (!tried) return null;
      settled.add(use);
      relaxed = tried;
    }
    const { uses, doses } = relaxed.doses;
    const weighed = uses.flatMap((j, k) => (this.isUnused(j) ? [] : [k]));
    return {
      uses: weighed.map((k) => uses[k]!),
      doses: weighed.map((k) => Math.round(doses[k]! / step) * step),
    };
  }

  private isUnused(use: number): boolean {
    return this.problem.uses[use]!.stage === null;
  }

  private solve(part: Part, basis: Relaxed['basis'], cutoff: number): Resting<Relaxed> {
    return this.goal === 'objective'
      ? this.program.leastObjective(part, basis, cutoff)
      : this.program.leastSlack(part, basis, 0, cutoff);
  }

  private loadOf({ uses, doses }: Doses): number {
    return uses.reduce((sum, j, k) => sum + this.problem.dry[j]! * doses[k]!, 0);
  }

  private wholeLoad(load: number, { interval: { from, to } }: Part): number {
    const { step } = this.problem;
    const whole = step > 0 ? Math.round(load / step) * step : load;
    return Math.min(Math.max(whole, from), to);
  }

  /** The part with only the hops decided in and the largest of the others. */
  private fewHops(part: Part, { uses, doses }: Doses): Part | null {
    const { problem } = this;
    const weights = new Map<number, number>();
    uses.forEach((j, k) => {
      const { variety: v, stage } = problem.uses[j]!;
      if (stage !== null) weights.set(v, (weights.get(v) ?? 0) + doses[k]!);
    });
    const kept = new Set(problem.required);
    for (let d = part.decisions; d; d = d.before) if (d.kind === 'in') kept.add(d.variety);
    if (kept.size > problem.hopsAtMost) return null;
    if (new Set([...kept, ...weights.keys()]).size <= problem.hopsAtMost) return part;
    const order = [...weights].filter(([v]) => !kept.has(v)).sort((a, b) => b[1] - a[1]);
    for (const [v] of order) if (kept.size < problem.hopsAtMost) kept.add(v);
    const inside = (j: number) => kept.has(problem.uses[j]!.variety);
    const columns = part.columns?.filter(inside);
    return { ...part, columns: columns ?? Int32Array.from(problem.uses.keys()).filter(inside) };
  }

  /** Settles doses between nothing and the least, one at a time. */
  private *dive(start: Part, basis: Relaxed['basis'], cutoff: number): Resting<Dived | null> {
    const { least } = this.problem;
    let part = start;
    let relaxed = yield* this.solve(part, basis, cutoff);
    for (let round = 0; round < DIVE_SOLVES; round += 1) {
      if (relaxed.status !== 'solved') return null;
      const { uses, doses } = relaxed.doses;
      let pick = -1;
      let nearest = Infinity;
      doses.forEach((dose, k) => {
        if (dose >= least * (1 - TOLERANCE) || this.isUnused(uses[k]!)) return;
        const distance = Math.min(dose, least - dose);
        if (distance < nearest) [pick, nearest] = [k, distance];
      });
      if (pick < 0) return { part, relaxed };
      const use = uses[pick]!;
      const up = doses[pick]! > least / 2;
      const tried = yield* this.solve(this.settled(part, use, up), relaxed.basis, cutoff);
      if (tried.status === 'solved') {
        part = this.settled(part, use, up);
        relaxed = tried;
      } else {
        part = this.settled(part, use, !up);
        relaxed = yield* this.solve(part, relaxed.basis, cutoff);
      }
    }
    return null;
  }

  private settled(part: Part, use: number, up: boolean): Part {
    const { least, uses } = this.problem;
    const before = part.decisions;
    const decision: Decision = up
      ? { kind: 'dose', use, lower: least, upper: uses[use]!.most, before }
      : { kind: 'dose', use, lower: 0, upper: 0, before };
    return { ...part, decisions: decision };
  }

  /** The best ways to whole steps, improved step by step. */
  private *stepped(dived: Dived, part: Part, cutoff: number): Resting<Doses[]> {
    const { step } = this.problem;
    const { uses: all, doses: amounts } = dived.relaxed.doses;
    const weighed = all.flatMap((j, k) => (this.isUnused(j) ? [] : [k]));
    const near = (whole: (steps: number) => number): Doses => ({
      uses: weighed.map((k) => all[k]!),
      doses: weighed.map((k) => whole(amounts[k]! / step) * step),
    });
    const starts = [near(Math.round), near((steps) => Math.ceil(steps - 1e-6))];
    const settled = yield* this.settleSteps(dived, cutoff);
    if (settled) starts.unshift(settled);
    const inside = starts.map(({ uses, doses }): Start => {
      const bounds = uses.map((j) => this.stepBounds(j, part));
      const counts = doses.map((dose, k) => {
        const { low, high } = bounds[k]!;
        return Math.min(Math.max(Math.round(dose / step), low), high);
      });
      const badness = this.badness({ uses, doses: counts.map((c) => c * step) });
      return { uses, counts, bounds, badness };
    });
    inside.sort((a, b) => a.badness - b.badness);
    const polished: Doses[] = [];
    for (const start of inside.slice(0, POLISHED)) polished.push(yield* this.polish(start));
    return polished;
  }

  private stepBounds(use: number, part: Part): { low: number; high: number } {
    const { step, least, uses } = this.problem;
    let lower = Math.max(least, step);
    let upper = uses[use]!.most;
    for (let d = part.decisions; d; d = d.before) {
      if (d.kind !== 'dose' || d.use !== use) continue;
      lower = Math.max(lower, d.lower);
      upper = Math.min(upper, d.upper);
    }
    return { low: Math.ceil(lower / step - 1e-6), high: Math.floor(upper / step + 1e-6) };
  }

  /** Steepest descent over single steps and swaps, first to feasibility, then to a better blend. */
  private *polish({ uses, counts, bounds, badness: start }: Start): Resting<Doses> {
    const { effort } = this.program;
    const { step } = this.problem;
    const doses = counts.map((c) => c * step);
    const blend = { uses, doses };
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
      for (let k = 0; k < uses.length; k += 1) {
        if (effort.due) {
          yield;
          effort.rested();
        }
        effort.spend(2 * uses.length * uses.length * LOOK_PER_USE);
        for (const by of [-1, 1]) {
          if (!open(k, by)) continue;
          shift(k, by);
          const value = badness();
          if (value < best - 1e-12) [best, move] = [value, [k, by, -1, 0]];
          for (let l = 0; l < uses.length; l += 1) {
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
    return { uses, doses };
  }

  /** Violation first, then the goal. */
  private badness(doses: Doses): number {
    const { problem, program } = this;
    const blend = withPackages(problem, doses);
    const weight = objectiveOf(problem, blend) / program.costScale;
    let hard = 0;
    for (const limit of limitsAgainst(problem, blend.uses))
      hard += Math.max(0, excess(limit, blend) - TOLERANCE);
    for (const v of problem.required) {
      let sum = 0;
      blend.uses.forEach((j, k) => {
        const { variety, stage } = problem.uses[j]!;
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
