// What a blend costs at least that holds in a share of the drawn lots. A blend that holds in k of n draws
// meets the middle wishes and those of k draws, so it costs no less than the k-th cheapest of the n blends
// that each hold in one draw (quantile bound; Luedtke 2014, Ahmed and others 2017). Each draw chooses its
// own blend; where they differ the node is split, until they agree (Caroe and Schultz 1999): by load, by
// which hops are in, by doses. So the bound rises to the truth, and a leaf is one blend, judged exactly.
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
import { byDraws, isIn } from './chance-branching.ts';
import { problemInDraw } from './draw-problems.ts';
import type { DrawnJudge } from './judging.ts';

/** A relaxed blend this far off at its own load is split by load before all else. */
const LOAD_FIRST = 0.02;
/** What it takes to write a column of one draw down. */
const MAKING_PER_COLUMN = 500;

/** What is known of one draw in a node. */
interface InDraw {
  /** A blend of the node that holds in this draw costs at least this. */
  readonly bound: number;
  /** The relaxed blend that does; `null` where none below the cutoff does. */
  readonly doses: Doses | null;
  readonly basis: StartBasis | null;
  /** Whether it holds at its own load, not only by the rows of an interval. */
  readonly isReal: boolean;
}

interface ChanceNode extends OpenNode {
  readonly draws: readonly InDraw[];
}

/** What the tree is held to. */
export interface Hurdle {
  /** Bound a node must stay under to be kept. */
  readonly cutoff: number;
  /** What a blend costs at least that is not below the cutoff. */
  readonly beyond: number;
  /** The least objective a blend can have from a bound on. */
  raised(bound: number): number;
  /** A blend the tree came upon; judged by whoever takes it. */
  offer(doses: Doses): void;
}

export class ChanceTree {
  /** Nodes looked at, and linear programs solved in draws. */
  nodes = 0;
  solves = 0;
  /** Most draws in which any blend can hold, as far as known. */
  possible: number;

  private readonly program: MasterProgram;
  private readonly programs: (MasterProgram | undefined)[] = [];
  private readonly heap = new Heap<ChanceNode>();
  private at: ChanceNode | null = null;
  private dropped = Infinity;
  private opened = false;

  constructor(
    private readonly problem: BlendProblem,
    private readonly judge: DrawnJudge,
    private readonly hurdle: Hurdle,
  ) {
    this.program = new MasterProgram(problem, 0);
    this.possible = judge.drawn.count;
  }

  /** Proven least objective of any blend that holds in as many draws as are needed, below the cutoff. */
  get bound(): number {
    if (!this.opened) return 0;
    return Math.min(this.heap.least, this.at?.bound ?? Infinity, this.dropped);
  }

  /** Work done, as an `Effort` counts it. */
  get effort(): number {
    return this.program.effort.total;
  }

  /** Goes through the open nodes, the least bound first, until none is left. */
  *explore(): Resting<void> {
    const { problem, heap } = this;
    const caps = (problem.bitter?.terms ?? []).map(() => 'open' as const);
    const interval = { from: 0, to: problem.loadMax };
    const first = yield* this.evaluate({ interval, decisions: null, caps }, null);
    if (first) {
      const out = first.draws.filter((d) => d.bound === Infinity).length;
      this.possible = first.draws.length - out;
      heap.push(first);
    } else this.possible = 0;
    this.opened = true;
    for (;;) {
      this.at = heap.pop() ?? null;
      const { at } = this;
      if (!at) return;
      this.nodes += 1;
      if (at.bound >= this.hurdle.cutoff) this.drop(at.bound);
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
      if (known.bound >= this.hurdle.cutoff) this.drop(known.bound);
      else this.heap.push(known);
    }
  }

  /** Offers the blend of the draw that decides the bound: it is on the safe side in most of the others. */
  private offerOf({ draws }: ChanceNode): void {
    const { judge, hurdle } = this;
    const sorted = draws.filter(({ doses }) => doses).sort((a, b) => a.bound - b.bound);
    const deciding = sorted[Math.min(judge.needed, sorted.length) - 1];
    if (deciding?.doses) hurdle.offer(deciding.doses);
  }

  /** What a node can do at best; `null` where it holds no blend below the cutoff. */
  private *evaluate(node: Node, parent: ChanceNode | null, floor = 0): Resting<ChanceNode | null> {
    const { program, judge, hurdle, problem } = this;
    const { cutoff } = hurdle;
    const basis = parent?.relaxed.basis ?? null;
    const relaxed = yield* program.leastObjective(node, basis, cutoff);
    if (relaxed.status === 'infeasible') return null;
    const { columns } = relaxed;
    const left: Node = { ...node, ...(columns && { columns }) };
    const depth = (parent?.depth ?? -1) + 1;
    const nominal = Math.max(floor, relaxed.bound);
    const draws: InDraw[] = [];
    const closed = (bound: number): ChanceNode => {
      return { ...left, bound: hurdle.raised(bound), relaxed, depth, draws };
    };
    if (relaxed.status === 'cutoff' || nominal >= cutoff) return closed(nominal);
    const { count } = judge.drawn;
    const isReal = relaxed.status === 'solved' && overshoot(problem, relaxed.doses, 0) <= TOLERANCE;
    if (isReal) judge.judge(relaxed.doses);
    const meets = (k: number) => isReal && judge.misses[k]! <= TOLERANCE;
    const holding = Uint8Array.from({ length: count }, (_, k) => (meets(k) ? 1 : 0));
    const narrower = parent !== null && parent.interval !== node.interval;
    let beyond = 0;
    for (let k = 0; k < count; k += 1) {
      const before = parent?.draws[k];
      const least = Math.max(nominal, before?.bound ?? 0);
      let known: InDraw;
      if (before && before.bound >= cutoff) known = before;
      else if (holding[k]) {
        known = { bound: least, doses: relaxed.doses, basis: relaxed.basis, isReal: true };
      } else if (
        before?.doses &&
        (before.isReal || !narrower) &&
        isIn(problem, left, before.doses)
      ) {
        known = { ...before, bound: least };
      } else known = yield* this.inDraw(k, left, before?.basis ?? relaxed.basis, least);
      draws.push(known);
      if (known.bound < cutoff) continue;
      beyond += 1;
      if (count - beyond < judge.needed) return closed(Math.max(nominal, hurdle.beyond));
    }
    const sorted = Float64Array.from(draws, (d) => d.bound).sort();
    return closed(Math.max(nominal, sorted[judge.needed - 1]!));
  }

  /** The cheapest relaxed blend of a node that holds in one draw. */
  private *inDraw(k: number, node: Node, basis: StartBasis | null, least: number): Resting<InDraw> {
    const { hurdle } = this;
    const program = (this.programs[k] ??= this.programOf(k));
    const before = program.effort.total;
    program.effort.rested();
    this.solves += 1;
    const relaxed = yield* program.leastObjective(node, basis, hurdle.cutoff);
    this.program.effort.spend(program.effort.total - before);
    if (this.program.effort.due) {
      yield;
      this.program.effort.rested();
    }
    if (relaxed.status === 'infeasible') return NOWHERE;
    const bound = Math.max(least, relaxed.bound);
    if (relaxed.status !== 'solved')
      return { bound, doses: null, basis: relaxed.basis, isReal: false };
    const isReal = overshoot(program.problem, relaxed.doses, 0) <= TOLERANCE;
    return { bound, doses: relaxed.doses, basis: relaxed.basis, isReal };
  }

  private programOf(k: number): MasterProgram {
    const { problem, judge, program } = this;
    program.effort.spend(MAKING_PER_COLUMN * problem.columns.length);
    return new MasterProgram(problemInDraw(problem, judge.drawn, k), 0);
  }

  /** Parts of a node that cover it; `null` where nothing is left to split. */
  private split(open: ChanceNode): Child[] | null {
    const { problem, hurdle } = this;
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
    const live = open.draws.flatMap((draw, k) =>
      draw.bound < hurdle.cutoff ? [{ ...draw, k }] : [],
    );
    const blends = live.flatMap(({ doses }) => doses ?? []);
    const unreal = live.find(({ doses, isReal }) => doses && !isReal);
    return (
      byDraws(problem, node, [relaxed.doses, ...blends]) ??
      byLeast(problem, node, relaxed) ??
      bySteps(problem, node, relaxed) ??
      (off > 1e-9 || unreal ? load() : null) ??
      (unreal ? this.byCapsInDraw(node, unreal) : null) ??
      this.settled(relaxed)
    );
  }

  /** A blend that does not hold in a draw though its rows say so: an undecided cap hides it. */
  private byCapsInDraw(node: Node, { k, doses }: InDraw & { readonly k: number }): Child[] | null {
    const program = this.programs[k];
    return program && doses ? byCaps(program.problem, node, { doses }, 0) : null;
  }

  /** All draws agree on a blend that can be weighed: judged by whoever takes it. */
  private settled({ doses }: Relaxed): null {
    this.hurdle.offer(doses);
    return null;
  }
}

const NOWHERE: InDraw = { bound: Infinity, doses: null, basis: null, isReal: false };
