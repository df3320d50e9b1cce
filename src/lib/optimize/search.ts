// Best-first branch and bound over one kept linear program: on the dry-hop load, on which hops are in,
// on doses that are nothing or enough, on whole weighing steps, on the sides of capped bitterness.
// A part of the problem is dropped only when its proven bound cannot beat the best blend by more than
// the tolerance, so the bound reported at the end, early or late, is the truth about what is left.
import { leastOf, type BlendProblem } from './problem.ts';
import { Program, type Decision, type Part, type Relaxed } from './program.ts';
import { chordShare } from './bitter-rows.ts';
import { Heap, type Node } from './heap.ts';
import type { CapChoice, Interval } from './rows.ts';
import { meritOf, Rounding, type Goal } from './rounding.ts';
import type { Basis } from './simplex.ts';
import { ibuAt, ibuRoom, loadOf, overshoot, type Doses } from './truth.ts';

/** Gap counted as proven, as a fraction of the objective. */
export const PROVEN_GAP = 1e-3;
/** Gap counted as proven where the worst miss is minimised, in intensity: far below any palate. */
export const PROVEN_SLACK = 5e-3;
/** For small misses the gap is a share of the miss instead, but never below this. */
const PROVEN_SLACK_SHARE = 0.05;
const PROVEN_SLACK_LEAST = 2e-4;
/** A relaxed blend this far off at its own load is split by load before by hops. */
const LOAD_FIRST = 0.02;
/** Narrowest load interval worth splitting, as a fraction of load plus 1 g/L. */
const LOAD_NARROWEST = 1e-7;
/** Every so many parts a relaxed blend is rounded to a real one; always while none is known. */
const ROUND_EVERY = 8;
/** Share of the linear programs that may go into rounding once a blend is known. */
const ROUND_SHARE = 0.3;
/** Loads at which the first real blends are sought, g/L. */
const FIRST_LOADS = [0, 0.5, 1, 2, 3, 4, 5.5, 7, 9, 12, 16, 22];
/** How many of them, the most promising first, are rounded. */
const FIRST_ROUNDED = 3;

/** Parts looked at for the last weighing step, on top of as many as it took to come that close. */
const REFINE_PARTS = 300;

/** Best blend so far. */
export interface Incumbent {
  readonly doses: Doses;
  readonly merit: number;
}

export interface SearchState {
  readonly incumbent: Incumbent | null;
  /** Proven lower bound on the merit of any blend. */
  readonly bound: number;
  /** Whether nothing is left to look at. */
  readonly done: boolean;
}

export class Search {
  readonly problem: BlendProblem;
  readonly program: Program;
  readonly goal: Goal;
  incumbent: Incumbent | null = null;
  nodes = 0;
  /** Objective above which no blend is wanted (goal `objective`); set before the first step. */
  ceiling = Infinity;
  /**
   * What counts as proven. `fine`: no more than the gap where the objective does not come in whole
   * weighing steps; `coarse`: the same closeness however small the miss is.
   */
  precision: 'usual' | 'fine' | 'coarse' = 'usual';

  private readonly rounding: Rounding;
  private readonly heap = new Heap();
  /** Least bound among parts dropped because they were within the tolerance. */
  private dropped = Infinity;
  private started = false;
  /** Parts looked at when the gap first was within one weighing step. */
  private provenAt: number | null = null;
  /** Linear programs solved for rounding. */
  private roundSolves = 0;
  /** Objective of one weighing step where every blend's objective is a whole number of them; or 0. */
  private readonly quantum: number;
  private readonly cheapestStep: number;

  /**
   * @param slack intensities by which the wishes are widened (goal `objective`).
   * @param slackMost largest slack that need be considered (goal `slack`).
   */
  constructor(problem: BlendProblem, goal: Goal, slack: number, slackMost: number) {
    this.problem = problem;
    this.goal = goal;
    this.program = new Program(problem, goal === 'slack' ? slackMost : slack);
    this.program.slack = goal === 'slack' ? 0 : slack;
    this.rounding = new Rounding(this.program, goal);
    const { step, objective } = problem;
    // A hundredth of the largest counts as nothing: a step of it would be no step worth the name.
    const largest = objective.reduce((a, b) => Math.max(a, b), 0);
    const least = objective.reduce((a, b) => (b > largest / 100 ? Math.min(a, b) : a), Infinity);
    const same = objective.every((c) => c === least);
    this.cheapestStep = step > 0 && least < Infinity ? step * least : 0;
    this.quantum = goal === 'objective' && same ? this.cheapestStep : 0;
  }

  /** Takes a blend known from elsewhere. */
  offer(doses: Doses): boolean {
    const merit = meritOf(this.problem, doses, this.goal, this.program.slack);
    if (!(merit < (this.incumbent?.merit ?? Infinity) - 1e-12) || merit > this.ceiling)
      return false;
    this.incumbent = { doses, merit };
    return true;
  }

  /** Gap that counts as proven. */
  get tolerance(): number {
    const merit = this.incumbent?.merit ?? 0;
    if (this.goal === 'slack') {
      if (this.precision === 'coarse') return PROVEN_SLACK;
      return Math.min(PROVEN_SLACK, Math.max(PROVEN_SLACK_LEAST, PROVEN_SLACK_SHARE * merit));
    }
    return Math.max(PROVEN_GAP * merit, this.precision === 'fine' ? 0 : this.cheapestStep);
  }

  /** Bound a part must stay under to be kept. */
  private get cutoff(): number {
    if (!this.incumbent) return this.highest;
    const { merit } = this.incumbent;
    const { tolerance, quantum } = this;
    // In whole weighing steps a better blend is a whole step better.
    return quantum > 0 ? merit - quantum * (1 - 1e-6) : merit - tolerance;
  }

  /** Objective from which on a blend is no better than the best one. */
  private get worth(): number {
    return this.quantum > 0 ? this.cutoff : (this.incumbent?.merit ?? this.ceiling);
  }

  /** Merit no blend may exceed. */
  private get highest(): number {
    return this.goal === 'slack' ? this.program.slackMost : this.ceiling;
  }

  /** A bound in whole weighing steps where the objective comes in such. */
  private whole(bound: number): number {
    const { quantum } = this;
    return quantum > 0 ? Math.ceil(bound / quantum - 1e-6) * quantum : bound;
  }

  get state(): SearchState {
    const merit = this.incumbent?.merit ?? Infinity;
    const open = this.started ? this.heap.least : 0;
    const bound = Math.max(0, this.whole(Math.min(open, this.dropped)));
    return {
      incumbent: this.incumbent,
      bound: Math.min(bound, merit),
      done: this.started && this.heap.size === 0,
    };
  }

  /** One unit of work, a few milliseconds at most. Returns whether anything is left. */
  step(): boolean {
    if (!this.started) {
      this.started = true;
      this.begin();
      return this.heap.size > 0;
    }
    if (this.refinedEnough()) {
      this.drop(this.heap.least);
      this.heap.clear();
    }
    const node = this.heap.pop();
    if (!node) return false;
    this.nodes += 1;
    if (node.bound >= this.cutoff) this.drop(node.bound);
    else this.branch(node);
    return this.heap.size > 0;
  }

  /**
   * Once within one weighing step the last step is still sought, but not for ever: for as many parts
   * as it took to get there, and some.
   */
  private refinedEnough(): boolean {
    const { incumbent, bound } = this.state;
    if (!incumbent || this.quantum === 0 || incumbent.merit - bound > this.tolerance * (1 + 1e-9)) {
      return false;
    }
    this.provenAt ??= this.nodes;
    return this.nodes >= 2 * this.provenAt + REFINE_PARTS;
  }

  private drop(bound: number): void {
    this.dropped = Math.min(this.dropped, bound);
  }

  private relax(part: Part, basis: Basis | null, from: number): Relaxed {
    return this.goal === 'objective'
      ? this.program.leastObjective(part, basis, this.cutoff, this.worth)
      : this.program.leastSlack(part, basis, from, this.cutoff);
  }

  /** Relaxes a part and keeps it if it can still hold a better blend. */
  private keep(part: Part, basis: Basis | null, floor: number, depth: number): void {
    this.push(part, this.relax(part, basis, floor), floor, depth);
  }

  private push(part: Part, relaxed: Relaxed, floor: number, depth: number): void {
    if (relaxed.status === 'infeasible') return;
    const bound = Math.max(floor, relaxed.bound);
    if (relaxed.status === 'cutoff' || bound >= this.cutoff) this.drop(bound);
    else {
      const { columns } = relaxed;
      this.heap.push({ ...part, ...(columns && { columns }), bound, relaxed, depth });
    }
  }

  private begin(): void {
    const { loadMax, step } = this.problem;
    const to = step > 0 ? Math.floor(loadMax / step + 1e-9) * step : loadMax;
    const interval: Interval = { from: 0, to };
    const caps: CapChoice[] = (this.problem.bitter?.terms ?? []).map(() => 'open');
    const root: Part = { interval, decisions: null, caps };
    const relaxed = this.relax(root, null, 0);
    if (relaxed.status === 'solved') this.scout(root, relaxed);
    this.push(root, relaxed, 0, 0);
  }

  /** First blends: where the load is fixed the rows are exact, so relaxed blends there say much. */
  private scout(root: Part, relaxed: Relaxed): void {
    const { step, loadMax } = this.problem;
    const tries: { part: Part; relaxed: Relaxed }[] = [{ part: root, relaxed }];
    for (const load of FIRST_LOADS) {
      if (load > loadMax) break;
      const at = step > 0 ? Math.round(load / step) * step : load;
      const part = { ...root, interval: { from: at, to: at } };
      tries.push({ part, relaxed: this.relax(part, relaxed.basis, 0) });
    }
    const [whole, ...fixed] = tries.filter((t) => t.relaxed.status === 'solved');
    fixed.sort((a, b) => a.relaxed.bound - b.relaxed.bound);
    for (const { part, relaxed: found } of fixed.slice(0, FIRST_ROUNDED)) this.round(part, found);
    if (!this.incumbent) this.round(whole!.part, whole!.relaxed);
  }

  private round(part: Part, relaxed: Relaxed, always = false): void {
    const { program } = this;
    if (!always && this.incumbent && this.roundSolves > ROUND_SHARE * program.solves) return;
    const before = program.solves;
    this.rounded(part, relaxed);
    this.roundSolves += program.solves - before;
  }

  private rounded(part: Part, relaxed: Relaxed): void {
    const cutoff = this.incumbent?.merit ?? this.highest;
    for (const doses of this.rounding.blendsNear(part, relaxed, cutoff)) this.offer(tidy(doses));
  }

  private branch(node: Node): void {
    const { problem } = this;
    const relaxed = this.upToDate(node);
    if (relaxed.status === 'infeasible') return;
    const bound = Math.max(node.bound, relaxed.bound);
    if (relaxed.status === 'cutoff' || bound >= this.cutoff) return this.drop(bound);
    if (relaxed.status === 'unsolved') {
      if (!this.splitLoad(node, relaxed, true)) this.drop(bound);
      return;
    }
    const { doses } = relaxed;
    // The relaxed blend may already be a real one.
    this.offer(tidy(doses));
    if (!this.incumbent || this.nodes % ROUND_EVERY === 0) this.round(node, relaxed);
    if (bound >= this.cutoff) return this.drop(bound);
    const slack = this.goal === 'slack' ? relaxed.bound + 1e-6 : this.program.slack;
    const off = overshoot(problem, doses, slack);
    if (this.branchCaps(node, relaxed)) return;
    if (off > LOAD_FIRST && this.splitLoad(node, relaxed, false)) return;
    if (this.branchHops(node, relaxed)) return;
    if (this.branchLeast(node, relaxed)) return;
    if (off > 1e-9) {
      this.round(node, relaxed);
      if (node.bound >= this.cutoff) return this.drop(node.bound);
      if (this.splitLoad(node, relaxed, false)) return;
    }
    if (this.branchSteps(node, relaxed)) return;
    // Nothing left to decide: the relaxed blend is real up to rounding of sums.
    this.round(node, relaxed, true);
    this.drop(bound);
  }

  /** The node's relaxation, solved anew where a hop decided in is not in its blend. */
  private upToDate(node: Node): Relaxed {
    const { problem } = this;
    const { uses, doses } = node.relaxed.doses;
    const { inside } = this.decided(node);
    for (const v of inside) {
      let dose = 0;
      uses.forEach((j, k) => (dose += problem.uses[j]!.variety === v ? doses[k]! : 0));
      if (dose < leastOf(problem, v) * (1 - 1e-7)) {
        return this.relax(node, node.relaxed.basis, node.bound);
      }
    }
    return node.relaxed;
  }

  private splitLoad(node: Node, relaxed: Relaxed, force: boolean): boolean {
    const { from, to } = node.interval;
    if (to - from <= LOAD_NARROWEST * (1 + to)) return false;
    const load = loadOf(this.problem, relaxed.doses);
    // Where the relaxed blend lies, away from the ends; or the middle on the scale of the damping.
    const half = Math.sqrt((1 + from) * (1 + to)) - 1;
    const inner = (to - from) * 0.1;
    const wide = 1 + to > 4 * (1 + from);
    let at = wide || force ? half : Math.min(Math.max(load, from + inner), to - inner);
    const { step } = this.problem;
    let next = at;
    if (step > 0) {
      // Loads are whole steps, so nothing lies between two of them.
      const [first, last] = [Math.round(from / step), Math.round(to / step)];
      if (first === last) return false;
      const whole = Math.min(Math.max(Math.floor(at / step), first), last - 1);
      at = whole * step;
      next = (whole + 1) * step;
    }
    const columns = node.columns && { columns: node.columns };
    const below = { ...part(node), interval: { from, to: at, ...columns } };
    const above = { ...part(node), interval: { from: next, to, ...columns } };
    this.keep(below, relaxed.basis, node.bound, node.depth + 1);
    this.keep(above, relaxed.basis, node.bound, node.depth + 1);
    return true;
  }

  private decided(node: Part): { inside: Set<number>; outside: Set<number> } {
    const inside = new Set(this.problem.required);
    const outside = new Set<number>();
    for (let d = node.decisions; d; d = d.before) {
      if (d.kind === 'in') inside.add(d.variety);
      if (d.kind === 'out') outside.add(d.variety);
    }
    return { inside, outside };
  }

  /**
   * Too many hops: for the free hops v1, v2, ... of the relaxed blend, by falling bound without each:
   * v1 out; v1 in and v2 out; ...; all that may be in, the rest out.
   */
  private branchHops(node: Node, relaxed: Relaxed): boolean {
    const { problem } = this;
    const { inside } = this.decided(node);
    const { uses, doses } = relaxed.doses;
    const weights = new Map<number, number>();
    uses.forEach((j, k) => {
      const v = problem.uses[j]!.variety;
      if (!inside.has(v)) weights.set(v, (weights.get(v) ?? 0) + doses[k]!);
    });
    const room = problem.hopsAtMost - inside.size;
    if (weights.size <= room) return false;
    const without = [...weights.keys()].map((variety) => {
      const decisions: Decision = { kind: 'out', variety, before: node.decisions };
      const child = { ...part(node), decisions };
      return { variety, relaxed: this.relax(child, relaxed.basis, node.bound) };
    });
    const rank = (r: Relaxed) => (r.status === 'infeasible' ? Infinity : r.bound);
    without.sort((a, b) => rank(b.relaxed) - rank(a.relaxed));
    // At least weights.size - room of these hops are out.
    const needed = weights.size - room;
    const floor = Math.max(node.bound, rank(without[without.length - needed]!.relaxed));
    let { decisions } = node;
    for (let i = 0; i < without.length; i += 1) {
      const { variety, relaxed: child } = without[i]!;
      if (i === room) {
        this.keep({ ...part(node), decisions }, relaxed.basis, floor, node.depth + 1);
        break;
      }
      const out: Decision = { kind: 'out', variety, before: decisions };
      this.push({ ...part(node), decisions: out }, child, floor, node.depth + 1);
      decisions = { kind: 'in', variety, before: decisions };
    }
    return true;
  }

  /** A dose between nothing and the least: nothing, or at least the least. */
  private branchLeast(node: Node, relaxed: Relaxed): boolean {
    const { least, uses } = this.problem;
    if (least === 0) return false;
    let pick = -1;
    let furthest = 0;
    relaxed.doses.doses.forEach((dose, k) => {
      const distance = Math.min(dose, least - dose);
      if (distance > Math.max(furthest, least * 1e-7)) [pick, furthest] = [k, distance];
    });
    if (pick < 0) return false;
    const use = relaxed.doses.uses[pick]!;
    this.branchDose(node, relaxed, use, 0, least, uses[use]!.most);
    return true;
  }

  private branchSteps(node: Node, relaxed: Relaxed): boolean {
    const { step, uses } = this.problem;
    if (step === 0) return false;
    let pick = -1;
    let furthest = 1e-6;
    relaxed.doses.doses.forEach((dose, k) => {
      const off = Math.abs(dose / step - Math.round(dose / step));
      if (off > furthest) [pick, furthest] = [k, off];
    });
    if (pick < 0) return false;
    const use = relaxed.doses.uses[pick]!;
    const whole = Math.floor(relaxed.doses.doses[pick]! / step);
    this.branchDose(node, relaxed, use, whole * step, (whole + 1) * step, uses[use]!.most);
    return true;
  }

  private branchDose(
    node: Node,
    relaxed: Relaxed,
    use: number,
    low: number,
    high: number,
    most: number,
  ): void {
    const before = node.decisions;
    const below: Decision = { kind: 'dose', use, lower: 0, upper: low, before };
    const above: Decision = { kind: 'dose', use, lower: high, upper: most, before };
    for (const decisions of [below, above]) {
      this.keep({ ...part(node), decisions }, relaxed.basis, node.bound, node.depth + 1);
    }
  }

  /**
   * The IBU maximum is broken, and undecided caps have at least half a share in it: decides for the
   * term with the largest share which side of its cap counts.
   */
  private branchCaps(node: Node, relaxed: Relaxed): boolean {
    const { problem } = this;
    const { bitter } = problem;
    if (!bitter || bitter.atMost === undefined || !node.caps.includes('open')) return false;
    const slack = this.goal === 'slack' ? relaxed.bound : this.program.slack;
    const load = loadOf(problem, relaxed.doses);
    const most = bitter.atMost + ibuRoom(bitter, slack);
    const over = ibuAt(problem, relaxed.doses, load) - most;
    if (over <= most * 1e-9) return false;
    const shares = bitter.terms.map((term, i) =>
      node.caps[i] === 'open' ? chordShare(problem, term, relaxed.doses, node.interval, load) : 0,
    );
    const pick = shares.indexOf(Math.max(...shares));
    if (shares[pick]! <= 0 || shares.reduce((a, b) => a + b, 0) < over / 2) return false;
    for (const choice of ['linear', 'capped'] as const) {
      const caps = node.caps.map((c, i) => (i === pick ? choice : c));
      this.keep({ ...part(node), caps }, relaxed.basis, node.bound, node.depth + 1);
    }
    return true;
  }
}

function part({ interval, decisions, caps, columns }: Part): Part {
  return { interval, decisions, caps, ...(columns && { columns }) };
}

/** Without doses that are nothing but rounding. */
function tidy({ uses, doses }: Doses): Doses {
  const kept = doses.flatMap((dose, k) => (dose > 1e-8 ? [k] : []));
  return { uses: kept.map((k) => uses[k]!), doses: kept.map((k) => doses[k]!) };
}
