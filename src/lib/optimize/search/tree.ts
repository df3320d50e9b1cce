// Best-first branch and bound, whatever is sought: the open nodes, the one with the lowest bound first, and
// the least bound of those dropped. A node is dropped only where its proven bound is at the cutoff or
// beyond, so that the bound reported at the end, early or late, holds for all that is left.
import type { Resting } from '#optimize/pacing/clock.ts';
import type { Node } from '#optimize/relaxation/node.ts';
import type { StartBasis, Relaxed } from '#optimize/relaxation/master-program.ts';
import type { Child } from './branching.ts';
import { Heap, type OpenNode } from './heap.ts';
import type { SplitHabit } from './split-habit.ts';

/** The search a tree belongs to, as far as the tree needs to know it. */
export interface Sought {
  /** Bound a node must stay under to be kept. */
  readonly cutoff: number;
  /** @param from bound proven already. */
  relax(node: Node, basis: StartBasis | null, from: number): Resting<Relaxed>;
  /** The least figure a blend can have from a bound on. */
  raised(bound: number): number;
}

/** Least share by which a split counts as raising a bound, so that their product is not 0. */
const LIFT_LEAST = 1e-6;

export class Tree {
  /** Nodes looked at. */
  nodes = 0;
  readonly #heap = new Heap();
  readonly #sought: Sought;
  /** The node at work; what is known of it holds until its children are all in the heap. */
  #at: OpenNode | null = null;
  #dropped = Infinity;

  constructor(sought: Sought) {
    this.#sought = sought;
  }

  /** Whether any node is open. */
  get isOpen(): boolean {
    return this.#heap.size > 0;
  }

  /** Proven bound on all there is. */
  get bound(): number {
    return Math.min(this.#heap.least, this.#at?.bound ?? Infinity, this.#dropped);
  }

  /** Notes the bound of a node that is looked at no further. */
  drop(bound: number): void {
    this.#dropped = Math.min(this.#dropped, bound);
  }

  /** Drops all that is open. */
  dropAll(): void {
    this.drop(this.#heap.least);
    this.#heap.clear();
  }

  /** Keeps a node, unless no blend of it can be better. @param floor bound known from elsewhere. */
  push(node: Node, relaxed: Relaxed, floor: number, depth: number): void {
    if (relaxed.status === 'infeasible') return;
    const bound = Math.max(floor, relaxed.bound);
    if (relaxed.status === 'cutoff' || bound >= this.#sought.cutoff) this.drop(bound);
    else {
      const { columns } = relaxed;
      const raised = this.#sought.raised(bound);
      this.#heap.push({ ...node, ...(columns && { columns }), bound: raised, relaxed, depth });
    }
  }

  /** Relaxes the children of an open node and keeps those that can still hold a better blend. */
  *split(
    open: OpenNode,
    { basis }: Pick<Relaxed, 'basis'>,
    children: readonly Child[] | null,
  ): Resting<boolean> {
    if (!children) return false;
    for (const { node, relaxed, floor } of children) {
      const least = Math.max(open.bound, floor);
      if (least >= this.#sought.cutoff) {
        this.drop(least);
        continue;
      }
      const known = relaxed ?? (yield* this.#sought.relax(node, basis, least));
      this.push(node, known, least, open.depth + 1);
    }
    return true;
  }

  /**
   * Splits by one of several kinds, `null` where this node has no split of a kind: by the kind kept from the last
   * comparison, or else by the one that raises the bounds of its parts most.
   */
  *splitBest(
    open: OpenNode,
    relaxed: Pick<Relaxed, 'basis'>,
    kinds: readonly (() => readonly Child[] | null)[],
    habit: SplitHabit,
  ): Resting<boolean> {
    const kept = habit.kept === null ? null : kinds[habit.kept]!();
    if (kept) {
      habit.used();
      return yield* this.split(open, relaxed, kept);
    }
    const splits = kinds.map((split) => split());
    const possible = splits.filter((split) => split !== null);
    let best = possible[0] ?? null;
    let [most, won] = [0, -1];
    for (const [kind, split] of possible.length > 1 ? splits.entries() : []) {
      if (!split) continue;
      const { lift, children } = yield* this.#tried(open, relaxed, split);
      if (lift > most) [best, most, won] = [children, lift, kind];
      if (most === Infinity) break;
    }
    if (won >= 0) habit.won(won);
    return yield* this.split(open, relaxed, best);
  }

  /**
   * The parts of a split with their relaxations, and the product of how much they raise the bound; infinite
   * where no part is left.
   */
  *#tried(
    open: OpenNode,
    { basis }: Pick<Relaxed, 'basis'>,
    split: readonly Child[],
  ): Resting<{ lift: number; children: Child[] }> {
    const { cutoff } = this.#sought;
    const nothing = LIFT_LEAST * (1 + open.bound);
    const children: Child[] = [];
    let [lift, left] = [1, 0];
    for (const child of split) {
      const relaxed = yield* this.#sought.relax(child.node, basis, open.bound);
      const bound = relaxed.status === 'infeasible' ? cutoff : Math.min(relaxed.bound, cutoff);
      lift *= Math.max(bound - open.relaxed.bound, nothing);
      if (bound < cutoff) left += 1;
      children.push({ ...child, relaxed });
    }
    return { lift: left > 0 ? lift : Infinity, children };
  }

  /** Looks at the open node with the lowest bound. Returns whether there was one. */
  *look(branch: (open: OpenNode) => Resting<void>): Resting<boolean> {
    this.#at = this.#heap.pop() ?? null;
    if (!this.#at) return false;
    this.nodes += 1;
    if (this.#at.bound >= this.#sought.cutoff) this.drop(this.#at.bound);
    else yield* branch(this.#at);
    this.#at = null;
    return true;
  }

  /** Goes through the open nodes, a rest after each, until none is left. */
  *explore(branch: (open: OpenNode) => Resting<void>, before?: () => Resting<void>): Resting<void> {
    for (;;) {
      if (before) yield* before();
      if (!(yield* this.look(branch))) return;
      if (this.isOpen) yield;
    }
  }
}
