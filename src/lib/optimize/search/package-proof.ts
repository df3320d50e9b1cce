// Proof by the packages opened: no blend is cheaper than what it opens, so sets of packages are gone through
// from the cheapest on. Rows of the sets found to hold no blend rule out most others; what is left is a node
// of its own, searched like any. It takes turns with the search of the whole problem; each does half of the work.
import type { Resting } from '#optimize/pacing/clock.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { MasterProgram } from '#optimize/relaxation/master-program.ts';
import type { Decision, Node } from '#optimize/relaxation/node.ts';
import type { OpenNode } from './heap.ts';
import { PackageSets, type PackageSet } from './package-sets.ts';
import { Tree, type Sought } from './tree.ts';

/** The search it is part of. */
export interface Searching extends Sought {
  readonly problem: BlendProblem;
  readonly program: MasterProgram;
  branch(open: OpenNode, tree: Tree): Resting<void>;
}

/** The costs up to that of the best blend are gone through in so many parts, one after the other. */
const PARTS = 16;

export class PackageProof {
  readonly #search: Searching;
  readonly #root: Node;
  readonly #sets: PackageSets;
  readonly #tree: Tree;
  /** Sets that cost less than this are listed. */
  #listedBelow: number;
  #width = 0;
  #queue: PackageSet[] = [];
  #at = 0;
  #listing: ReturnType<PackageSets['between']> | null = null;
  /** All work there was when it began, and its own. */
  readonly #since: number;
  #own = 0;

  /**
   * @param root the whole.
   * @param bound proven of it.
   */
  constructor(search: Searching, root: Node, bound: number) {
    this.#search = search;
    this.#root = root;
    const { problem, program } = search;
    this.#sets = new PackageSets(problem, root.columns ?? problem.columns.keys(), root.interval.to);
    this.#tree = new Tree(search);
    this.#listedBelow = this.#sets.isAllPaid ? bound : 0;
    this.#since = program.effort.total;
  }

  /** Nodes looked at. */
  get nodes(): number {
    return this.#tree.nodes;
  }

  /** Proven bound on all there is. */
  get bound(): number {
    return Math.min(this.#tree.bound, this.#next);
  }

  /** Whether nothing is left. */
  get done(): boolean {
    return this.#sets.isPriced && !this.#tree.isOpen && this.#next >= this.#search.cutoff;
  }

  /** Least that a set not looked at yet costs. */
  get #next(): number {
    return this.#queue[this.#at]?.price ?? this.#listedBelow;
  }

  /** Works until it has done as much as the search of the whole since it began; not before a blend is known. */
  *turn(): Resting<void> {
    if (!this.#sets.isPriced || this.#search.cutoff === Infinity) return;
    const { effort } = this.#search.program;
    while (!this.done && 2 * this.#own < effort.total - this.#since) {
      const before = effort.total;
      yield* this.#piece();
      this.#own += effort.total - before;
      if (effort.due) {
        yield;
        effort.rested();
      }
    }
  }

  /** One piece of work: a node, a set, or a part of listing the sets. */
  *#piece(): Resting<void> {
    const search = this.#search;
    if (this.#tree.isOpen && this.#tree.bound <= this.#next) {
      yield* this.#tree.look((open) => search.branch(open, this.#tree));
      return;
    }
    const set = this.#queue[this.#at];
    if (set) {
      this.#at += 1;
      if (!this.#sets.isRuledOut(set, search.cutoff - set.price)) yield* this.#look(set);
      return;
    }
    if (!this.#listing) {
      const left = search.cutoff - this.#listedBelow;
      this.#width = Math.min(left, Math.max(this.#width, left / PARTS));
      const to = this.#listedBelow + this.#width;
      this.#listing = this.#sets.between(
        this.#listedBelow,
        to,
        search.cutoff,
        search.program.effort,
      );
    }
    const step = this.#listing.next();
    if (!step.done) return;
    const { sets, listedBelow } = step.value;
    [this.#queue, this.#at, this.#listedBelow, this.#listing] = [sets, 0, listedBelow, null];
    this.#width *= sets.length > 0 ? 1 : 2;
  }

  /** Takes a set for a node of its own, unless its relaxation holds no blend: then a row more is known. */
  *#look(set: PackageSet): Resting<void> {
    const { interval } = this.#root;
    const { step } = this.#search.problem;
    const load = this.#sets.loadOf(set);
    const to = step > 0 ? Math.floor(load / step + 1e-9) * step : load;
    // Over all loads first: a row that holds there tells most.
    for (const most of to < interval.to ? [interval.to, to] : [interval.to]) {
      const node = { ...this.#nodeOf(set), interval: { from: interval.from, to: most } };
      const relaxed = yield* this.#search.relax(node, null, 0);
      const over = relaxed.status === 'infeasible' || relaxed.status === 'cutoff';
      if (over || most <= to) this.#tree.push(node, relaxed, set.price, 0);
      if (!over) continue;
      const cover = this.#search.program.packageCover();
      if (cover) this.#sets.add(cover, most);
      return;
    }
  }

  #nodeOf({ lots }: PackageSet): Node {
    const counts = new Map<number, number>();
    for (const b of lots) counts.set(b, (counts.get(b) ?? 0) + 1);
    let decisions: Decision | null = null;
    for (const [bought, count] of counts) {
      decisions = { kind: 'packages', bought, lower: count, upper: count, before: decisions };
    }
    return { ...this.#root, decisions: { kind: 'shut', before: decisions } };
  }
}
