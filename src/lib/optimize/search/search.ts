// Best-first branch and bound over one kept linear program: on the dry-hop load, on which hops are in,
// on doses that are nothing or enough, on whole weighing steps, on the sides of capped bitterness.
// A node of the problem is dropped only when its proven bound cannot beat the best blend by more than
// the tolerance, so the bound reported at the end, early or late, holds for all that is left.
import {
  byCaps,
  byGroups,
  byLeast,
  byLoad,
  byPackages,
  bySteps,
  lacksDecided,
  bareNode,
} from './branching.ts';
import { byAdditions, byForms, byHops } from './counting.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import { undominated } from '#optimize/relaxation/dominance.ts';
import type { OpenNode } from './heap.ts';
import type { Node } from '#optimize/relaxation/node.ts';
import { poolOf } from '#optimize/relaxation/relaxation.ts';
import {
  MasterProgram,
  type StartBasis,
  type Relaxed,
} from '#optimize/relaxation/master-program.ts';
import { buysPackages, withoutRounding } from '#optimize/problem/packages.ts';
import { PackageProof } from './package-proof.ts';
import { IncumbentCutoff, type Incumbent } from './incumbent.ts';
import { PrimalHeuristic } from './primal-heuristic.ts';
import { SplitHabit } from './split-habit.ts';
import { StartHeuristic } from './start-heuristic.ts';
import { Tree } from './tree.ts';
import { overshoot } from '#optimize/problem/evaluation.ts';

/** A relaxed blend this far off at its own load is split by load before by hops. */
const LOAD_FIRST = 0.02;
/** Every so many nodes a relaxed blend is rounded to a real one; always while none is known. */
const ROUND_EVERY = 8;
/** Share of the linear programs that may go into rounding once a blend is known. */
const ROUND_SHARE = 0.3;
/** Nodes looked at for the last weighing step, on top of as many as it took to come that close. */
const REFINE_NODES = 300;
/** Sets of packages are gone through only in a search that takes more nodes than this. */
const SETS_FROM = 30;
/** Times that rows for whole packages are sought for the whole. Seen: 2 to 5 do. */
const CUT_ROUNDS = 20;

export interface SearchState {
  readonly incumbent: Incumbent | null;
  /** Proven lower bound on the merit of any blend. */
  readonly bound: number;
  /** Whether nothing is left to look at. */
  readonly done: boolean;
}

export class Search extends IncumbentCutoff {
  /** Nodes looked at before blends are also sought by the packages they open. */
  setsFrom = SETS_FROM;

  private made: { readonly program: MasterProgram; readonly rounding: PrimalHeuristic } | null =
    null;
  private readonly tree = new Tree(this);
  /** Whether to split by a dose, by a group of doses or by the load, as trials have shown. */
  private readonly habit = new SplitHabit();
  /** The proof by the packages opened, where packages are bought. */
  private sets: PackageProof | null = null;
  /** What is left before the nodes are gone through: first blends, and the whole opened. */
  private scan: StartHeuristic | null = null;
  private opened = false;
  /** Bound on the whole until then. */
  private wholeBound = 0;
  /** All work there is, a rest after every node and more often where a node takes long. */
  private readonly work = this.working();
  private over = false;
  private hasRows = false;
  /** Nodes looked at when the gap first was within one weighing step. */
  private provenAt: number | null = null;
  /** Linear programs solved for rounding. */
  private roundSolves = 0;
  /**
   * The program and its rounding. The first step makes the rows, the second the program: over thousands of lots
   * each takes a while.
   */
  private get making(): { readonly program: MasterProgram; readonly rounding: PrimalHeuristic } {
    if (!this.made) {
      const program = new MasterProgram(this.problem, this.slackMost);
      program.slack = this.slack;
      this.made = { program, rounding: new PrimalHeuristic(program, this.goal) };
    }
    return this.made;
  }

  /** Nodes looked at. */
  get nodes(): number {
    return this.tree.nodes + (this.sets?.nodes ?? 0);
  }

  get program(): MasterProgram {
    return this.making.program;
  }

  get state(): SearchState {
    const merit = this.incumbent?.merit ?? Infinity;
    const proven = this.opened ? Math.max(this.tree.bound, this.sets?.bound ?? 0) : this.wholeBound;
    const bound = Math.max(0, this.raised(proven));
    return {
      incumbent: this.incumbent,
      bound: Math.min(bound, merit),
      done: this.over,
    };
  }

  /** One unit of work, a few milliseconds at most. Returns whether anything is left. */
  step(): boolean {
    if (this.over) return false;
    if (!this.made) {
      if (this.hasRows) void this.making;
      else void poolOf(this.problem);
      return (this.hasRows = true);
    }
    this.program.effort.rested();
    this.over = this.work.next().done === true;
    return !this.over;
  }

  private *working(): Resting<void> {
    const { tree } = this;
    yield* this.preparing();
    yield* tree.explore(
      (open) => this.branch(open, tree),
      () => this.beforeNode(),
    );
  }

  private *beforeNode(): Resting<void> {
    if (this.sets && this.nodes >= this.setsFrom) {
      yield* this.sets.turn();
      if (this.sets.done) this.tree.dropAll();
    }
    if (this.refinedEnough()) this.tree.dropAll();
  }

  /**
   * Once the gap is within one weighing step the search goes on for a better blend, but only for as many nodes
   * again as it took to get there, and REFINE_NODES more.
   */
  private refinedEnough(): boolean {
    const { incumbent, bound } = this.state;
    const stepped = this.goal === 'objective' && this.cheapestStep > 0;
    if (!incumbent || !stepped || incumbent.merit - bound > this.tolerance * (1 + 1e-9)) {
      return false;
    }
    this.provenAt ??= this.nodes;
    return this.nodes >= 2 * this.provenAt + REFINE_NODES;
  }

  relax(node: Node, basis: StartBasis | null, from: number): Resting<Relaxed> {
    return this.goal === 'objective'
      ? this.program.leastObjective(node, basis, this.cutoff, this.worth)
      : this.program.leastSlack(node, basis, from, this.cutoff, this.incumbent?.merit);
  }

  private everything(): Node {
    const caps = (this.problem.bitter?.terms ?? []).map(() => 'open' as const);
    return { interval: { from: 0, to: this.loadMost(this.worth) }, decisions: null, caps };
  }

  /** First blends, a load at a time; then all loads as the first node. */
  private *preparing(): Resting<void> {
    const root = this.everything();
    const relaxed = yield* this.relax(root, null, 0);
    if (relaxed.status === 'infeasible' || relaxed.status === 'cutoff') {
      this.tree.push(root, relaxed, 0, 0);
      this.opened = true;
      return;
    }
    this.scan = new StartHeuristic(root, relaxed, this.problem);
    this.wholeBound = relaxed.bound;
    for (;;) {
      yield;
      const next = this.scan.next(this.loadMost(Math.min(this.worth, this.scan.enough)));
      if (!next) break;
      if (next.kind === 'relax') {
        this.scan.found(next.node, yield* this.relax(next.node, next.basis, 0));
      } else if (next.relaxed.bound < this.cutoff) yield* this.round(next.node, next.relaxed);
    }
    yield* this.open(this.scan.whole);
  }

  private *open(relaxed: Relaxed): Resting<void> {
    const { program, problem } = this;
    if (!this.incumbent && relaxed.status === 'solved') {
      yield* this.round(this.everything(), relaxed);
    }
    let root = this.everything();
    if (this.goal === 'objective' && this.worth < Infinity) {
      const { objective, columns } = problem;
      const { worth } = this;
      const all = Int32Array.from(columns.keys());
      // As much of a column as there may be would alone be no better than the best blend.
      const neverFull = (j: number) => objective[j]! * columns[j]!.most >= worth;
      root = { ...root, columns: yield* undominated(problem, all, neverFull, program.effort) };
    }
    const tight = yield* this.cutting(root, yield* this.relax(root, relaxed.basis, relaxed.bound));
    if (tight.columns) program.focus(tight.columns);
    this.tree.push(root, tight, relaxed.bound, 0);
    if (this.goal === 'objective' && buysPackages(problem)) {
      const left = { ...root, ...(tight.columns && { columns: tight.columns }) };
      this.sets = new PackageProof(this, left, this.tree.bound);
    }
    this.opened = true;
    if (this.tree.isOpen) yield;
  }

  /** The relaxation of the root, with rows for whole packages added as long as they cut it off. */
  private *cutting(root: Node, first: Relaxed): Resting<Relaxed> {
    const { problem, program, goal } = this;
    let relaxed = first;
    if (goal === 'slack' || !buysPackages(problem)) return relaxed;
    for (let round = 0; round < CUT_ROUNDS && relaxed.status === 'solved'; round += 1) {
      if (!(yield* program.cut(relaxed.doses))) break;
      yield;
      relaxed = yield* this.relax(root, relaxed.basis, relaxed.bound);
      this.wholeBound = Math.max(this.wholeBound, Math.min(relaxed.bound, this.worth));
    }
    return relaxed;
  }

  private *round(node: Node, relaxed: Relaxed, always = false): Resting<void> {
    const { program } = this;
    if (!always && this.incumbent && this.roundSolves > ROUND_SHARE * program.solves) return;
    const before = program.solves;
    const cutoff = this.incumbent?.merit ?? this.highest;
    for (const doses of yield* this.making.rounding.blendsNear(node, relaxed, cutoff)) {
      this.offer(withoutRounding(this.problem, doses));
    }
    this.roundSolves += program.solves - before;
  }

  /** Looks at a node of a tree, and splits it there. */
  *branch(open: OpenNode, tree: Tree): Resting<void> {
    const { problem } = this;
    // Solved anew where a hop decided in is not in its blend.
    const relaxed = lacksDecided(problem, open, open.relaxed)
      ? yield* this.relax(open, open.relaxed.basis, open.bound)
      : open.relaxed;
    if (relaxed.status === 'infeasible') return;
    const bound = Math.max(open.bound, relaxed.bound);
    if (relaxed.status === 'cutoff' || bound >= this.cutoff) return tree.drop(bound);
    const node = bareNode(open);
    if (relaxed.status === 'unsolved') {
      const halves = byLoad(problem, node, relaxed, true);
      if (!(yield* tree.split(open, relaxed, halves))) tree.drop(bound);
      return;
    }
    const { doses } = relaxed;
    // The relaxed blend may already be a real one.
    this.offer(withoutRounding(problem, doses));
    if (!this.incumbent || this.nodes % ROUND_EVERY === 0) yield* this.round(open, relaxed);
    if (bound >= this.cutoff) return tree.drop(bound);
    const slack = this.goal === 'slack' ? relaxed.bound : this.slack;
    const room = this.goal === 'slack' ? slack + 1e-6 : slack;
    const off = overshoot(problem, doses, room);
    const load = () => byLoad(problem, node, relaxed, false);
    const relax = (child: Node, basis: StartBasis | null) => this.relax(child, basis, open.bound);
    if (yield* tree.split(open, relaxed, byCaps(problem, node, relaxed, slack))) return;
    if (off > LOAD_FIRST && (yield* tree.split(open, relaxed, load()))) return;
    if (this.goal === 'objective') {
      const packages = byPackages(problem, node, relaxed, this.worth);
      if (yield* tree.split(open, relaxed, packages)) return;
    }
    const hops = yield* byHops(problem, node, relaxed, relax);
    if (yield* tree.split(open, relaxed, hops)) return;
    if (yield* tree.split(open, relaxed, byForms(problem, node, doses))) return;
    const additions = yield* byAdditions(problem, node, relaxed, relax);
    if (yield* tree.split(open, relaxed, additions)) return;
    const least = byLeast(problem, node, relaxed);
    const groups = () => byGroups(problem, node, relaxed);
    const loads = () => (off > 1e-9 && (least ?? groups()) ? load() : null);
    const kinds = [() => least, groups, loads];
    if (yield* tree.splitBest(open, relaxed, kinds, this.habit)) return;
    if (off > 1e-9) {
      yield* this.round(open, relaxed);
      if (open.bound >= this.cutoff) return tree.drop(open.bound);
      if (yield* tree.split(open, relaxed, load())) return;
    }
    if (yield* tree.split(open, relaxed, bySteps(problem, node, relaxed))) return;
    // Nothing left to decide: the relaxed blend is real up to rounding of sums.
    yield* this.round(open, relaxed, true);
    tree.drop(bound);
  }
}
