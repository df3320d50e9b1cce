// What a blend costs at least that holds in a share of the drawn lots. A blend that may miss m draws misses at
// most m groups of draws, so it costs no less than the (m + 1)-th dearest of the blends that each suit one
// group (quantile bound; Luedtke 2014, Deng and others 2017). Each group has a blend of its own; where
// they differ the node is split, until they agree (Caroe and Schultz 1999): by load, by which hops are in, by
// doses. So the bound rises to that of the best blend, and a leaf is one blend, judged exactly.
import type { Resting } from '#optimize/pacing/clock.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { overshoot, TOLERANCE } from '#optimize/problem/evaluation.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { Node } from '#optimize/relaxation/node.ts';
import {
  MasterProgram,
  type Relaxed,
  type StartBasis,
} from '#optimize/relaxation/master-program.ts';
import {
  bareNode,
  byCaps,
  byLeast,
  byLoad,
  bySteps,
  type Child,
} from '#optimize/search/branching.ts';
import { Heap, type OpenNode } from '#optimize/search/heap.ts';
import { byCounts, byDraws, isIn } from './chance-branching.ts';
import { DrawGroups, missedDraws } from './draw-groups.ts';
import type { DrawnJudge } from './judging.ts';

/** A relaxed blend this far off at its own load is split by load before all else. */
const LOAD_FIRST = 0.02;
/** Effort of starting the program of a group, beside what it counts itself. */
const STARTING = 50_000;

/** What is known of one group of draws in a node. */
interface InGroup {
  /** A blend of the node that holds in all of these draws costs at least this. */
  readonly bound: number;
  /** The relaxed blend that does; `null` where none below the cutoff does. */
  readonly doses: Doses | null;
  readonly basis: StartBasis | null;
  /** Whether it holds at its own load, not only by the rows of an interval. */
  readonly isReal: boolean;
}

interface ChanceNode extends OpenNode {
  readonly groups: DrawGroups;
  readonly inGroups: readonly InGroup[];
}

/** Keeps the best blend found so far for the tree, which takes its cutoff from it and gives it the blends it finds. */
export interface IncumbentKeeper {
  /** Bound a node must stay under to be kept. */
  readonly cutoff: number;
  /** What a blend costs at least that is not below the cutoff. */
  readonly beyond: number;
  /** The least objective a blend can have from a bound on. */
  raised(bound: number): number;
  /** Takes a blend the tree found, and judges it. */
  offer(doses: Doses): void;
}

export class ChanceTree {
  /** Nodes looked at, and linear programs solved in draws. */
  nodes = 0;
  solves = 0;
  /** Most draws in which any blend can hold, as far as known. */
  possible: number;

  private made: MasterProgram | null = null;
  private readonly heap = new Heap<ChanceNode>();
  private at: ChanceNode | null = null;
  private dropped = Infinity;
  private opened = false;

  constructor(
    private readonly problem: BlendProblem,
    private readonly judge: DrawnJudge,
    private readonly keeper: IncumbentKeeper,
  ) {
    this.possible = judge.drawn.count;
  }

  /** Proven least objective of any blend that holds in as many draws as are needed, below the cutoff. */
  get bound(): number {
    if (!this.opened) return 0;
    return Math.min(this.heap.least, this.at?.bound ?? Infinity, this.dropped);
  }

  /** Work done, as an `Effort` counts it. */
  get effort(): number {
    return this.made?.effort.total ?? 0;
  }

  /** Made with the first step: of thousands of lots it takes a while. */
  private get program(): MasterProgram {
    return (this.made ??= new MasterProgram(this.problem, 0));
  }

  /** Goes through the open nodes, the least bound first, until none is left. */
  *explore(): Resting<void> {
    const { problem, heap } = this;
    void this.program;
    yield;
    const caps = (problem.bitter?.terms ?? []).map(() => 'open' as const);
    const interval = { from: 0, to: problem.loadMax };
    const first = yield* this.evaluate({ interval, decisions: null, caps }, null);
    if (first) {
      const out = first.inGroups.filter((d) => d.bound === Infinity).length;
      this.possible = this.judge.drawn.count - out;
      heap.push(first);
    } else this.possible = 0;
    this.opened = true;
    for (;;) {
      this.at = heap.pop() ?? null;
      const { at } = this;
      if (!at) return;
      this.nodes += 1;
      if (at.bound >= this.keeper.cutoff) this.drop(at.bound);
      else yield* this.branch(at);
      this.at = null;
      yield;
    }
  }

  private drop(bound: number): void {
    this.dropped = Math.min(this.dropped, bound);
  }

  private *branch(node: ChanceNode): Resting<void> {
    this.offerOf(node);
    const children = this.split(node);
    if (!children) return this.drop(node.bound);
    for (const { node: child, floor } of children) {
      const known = yield* this.evaluate(child, node, Math.max(floor, node.bound));
      if (!known) continue;
      if (known.bound >= this.keeper.cutoff) this.drop(known.bound);
      else this.heap.push(known);
    }
  }

  /** Offers the dearest of the groups' blends: it suits several draws at once, and hard ones. */
  private offerOf({ inGroups }: ChanceNode): void {
    let dearest: InGroup | null = null;
    for (const known of inGroups) {
      if (known.doses && known.bound > (dearest?.bound ?? -Infinity)) dearest = known;
    }
    if (dearest?.doses) this.keeper.offer(dearest.doses);
  }

  /** Bounds a node and each group in it; `null` where it holds no blend below the cutoff. */
  private *evaluate(node: Node, parent: ChanceNode | null, floor = 0): Resting<ChanceNode | null> {
    const { program, judge, keeper, problem } = this;
    const { cutoff } = keeper;
    const basis = parent?.relaxed.basis ?? null;
    const relaxed = yield* program.leastObjective(node, basis, cutoff);
    if (relaxed.status === 'infeasible') return null;
    const { columns } = relaxed;
    const left: Node = { ...node, ...(columns && { columns }) };
    const depth = (parent?.depth ?? -1) + 1;
    const nominal = Math.max(floor, relaxed.bound);
    const isReal = relaxed.status === 'solved' && overshoot(problem, relaxed.doses, 0) <= TOLERANCE;
    judge.judge(relaxed.doses);
    const missed = missedDraws(judge);
    const groups = this.groupsFor(parent, relaxed.doses, missed);
    const inherited = groups === parent?.groups ? parent.inGroups : [];
    const inGroups: InGroup[] = [];
    const closed = (bound: number): ChanceNode => {
      return { ...left, bound: keeper.raised(bound), relaxed, depth, groups, inGroups };
    };
    if (relaxed.status === 'cutoff' || nominal >= cutoff) return closed(nominal);
    const narrower = parent !== null && parent.interval !== node.interval;
    let beyond = 0;
    for (const [g, draws] of groups.groups.entries()) {
      const before = inherited[g];
      const least = Math.max(nominal, before?.bound ?? 0);
      let known: InGroup;
      if (before && before.bound >= cutoff) known = before;
      else if (isReal && !draws.some((k) => missed[k])) {
        known = { bound: least, doses: relaxed.doses, basis: relaxed.basis, isReal: true };
      } else if (
        before?.doses &&
        (before.isReal || !narrower) &&
        isIn(problem, left, before.doses)
      ) {
        known = { ...before, bound: least };
      } else known = yield* this.inGroup(groups, g, left, before?.basis ?? relaxed.basis, least);
      inGroups.push(known);
      if (known.bound < cutoff) continue;
      beyond += 1;
      if (beyond > groups.missable) return closed(Math.max(nominal, keeper.beyond));
    }
    const sorted = Float64Array.from(inGroups, (d) => d.bound).sort();
    return closed(Math.max(nominal, sorted[sorted.length - 1 - groups.missable]!));
  }

  /** The groups of the parent, unless a blend missed in too many draws misses too few of them. */
  private groupsFor(parent: ChanceNode | null, doses: Doses, missed: Uint8Array): DrawGroups {
    const { problem, judge } = this;
    if (parent) {
      const count = missed.reduce((sum, miss) => sum + miss, 0);
      const { groups } = parent;
      if (count <= groups.missable || groups.hit(missed) > groups.missable) return groups;
    }
    return new DrawGroups(problem, judge, doses);
  }

  /** The cheapest relaxed blend of a node that holds in all draws of a group. */
  private *inGroup(
    groups: DrawGroups,
    g: number,
    node: Node,
    basis: StartBasis | null,
    least: number,
  ): Resting<InGroup> {
    const { keeper } = this;
    const { effort } = this.program;
    let program = groups.known(g);
    if (!program) {
      program = yield* groups.make(g);
      effort.rested();
    }
    effort.spend(STARTING);
    const before = program.effort.total;
    program.effort.rested();
    this.solves += 1;
    const relaxed = yield* program.leastObjective(node, basis, keeper.cutoff);
    effort.spend(program.effort.total - before);
    // A solve takes time beside the effort it counts, which adds up over the groups.
    yield;
    effort.rested();
    if (relaxed.status === 'infeasible') return NOWHERE;
    const bound = Math.max(least, relaxed.bound);
    if (relaxed.status !== 'solved')
      return { bound, doses: null, basis: relaxed.basis, isReal: false };
    const isReal = overshoot(program.problem, relaxed.doses, 0) <= TOLERANCE;
    return { bound, doses: relaxed.doses, basis: relaxed.basis, isReal };
  }

  /** Parts of a node that cover it; `null` where nothing is left to split. */
  private split(open: ChanceNode): Child[] | null {
    const { problem, keeper } = this;
    const { relaxed } = open;
    const node = bareNode(open);
    if (relaxed.status === 'unsolved') return byLoad(problem, node, relaxed, true);
    const caps = byCaps(problem, node, relaxed, 0);
    if (caps) return caps;
    const off = overshoot(problem, relaxed.doses, 0);
    const load = () => byLoad(problem, node, relaxed, false);
    if (off > LOAD_FIRST) {
      const halves = load();
      if (halves) return halves;
    }
    const live = open.inGroups.flatMap((known, g) =>
      known.bound < keeper.cutoff ? [{ ...known, g }] : [],
    );
    const blends = live.flatMap(({ doses }) => doses ?? []);
    const unreal = live.find(({ doses, isReal }) => doses && !isReal);
    return (
      byDraws(problem, node, [relaxed.doses, ...blends]) ??
      byCounts(problem, node, [relaxed.doses, ...blends]) ??
      byLeast(problem, node, relaxed) ??
      bySteps(problem, node, relaxed) ??
      (off > 1e-9 || unreal ? load() : null) ??
      (unreal ? byCapsIn(open, node, unreal) : null) ??
      this.settled(relaxed)
    );
  }

  /** All draws agree on a blend that can be weighed: judged by whoever takes it. */
  private settled({ doses }: Relaxed): null {
    this.keeper.offer(doses);
    return null;
  }
}

const NOWHERE: InGroup = { bound: Infinity, doses: null, basis: null, isReal: false };

/** Splits by a cap where a blend misses a group though it keeps the rows: an undecided cap allows it. */
function byCapsIn(
  { groups }: ChanceNode,
  node: Node,
  { g, doses }: InGroup & { readonly g: number },
): Child[] | null {
  const program = groups.known(g);
  return program && doses ? byCaps(program.problem, node, { doses }, 0) : null;
}
