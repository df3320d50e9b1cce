// Best-first branch and bound, whatever is sought: the open parts, the one with the lowest bound first, and
// the least bound of those dropped. A part is dropped only where its proven bound is at the cutoff or
// beyond, so that the bound told at the end, early or late, holds for all that is left.
import type { Resting } from '#optimize/pacing/clock.ts';
import type { Part } from '#optimize/relaxation/part.ts';
import type { KeptBasis, Relaxed } from '#optimize/relaxation/program.ts';
import type { Child } from './branching.ts';
import { Heap, type Node } from './heap.ts';

/** What is sought, as far as the tree needs to know it. */
export interface Sought {
  /** Bound a part must stay under to be kept. */
  readonly cutoff: number;
  /** @param from bound proven already. */
  relax(part: Part, basis: KeptBasis | null, from: number): Resting<Relaxed>;
  /** The least figure a blend can have from a bound on. */
  raised(bound: number): number;
}

export class Tree {
  /** Parts looked at. */
  nodes = 0;
  readonly #heap = new Heap();
  readonly #sought: Sought;
  /** The part at work; what is known of it holds until its children are all in the heap. */
  #at: Node | null = null;
  #dropped = Infinity;

  constructor(sought: Sought) {
    this.#sought = sought;
  }

  /** Whether any part is open. */
  get isOpen(): boolean {
    return this.#heap.size > 0;
  }

  /** Proven bound on all there is. */
  get bound(): number {
    return Math.min(this.#heap.least, this.#at?.bound ?? Infinity, this.#dropped);
  }

  /** Notes the bound of a part that is looked at no further. */
  drop(bound: number): void {
    this.#dropped = Math.min(this.#dropped, bound);
  }

  /** Drops all that is open. */
  dropAll(): void {
    this.drop(this.#heap.least);
    this.#heap.clear();
  }

  /** Keeps a part, unless no blend of it can be better. @param floor bound known from elsewhere. */
  push(part: Part, relaxed: Relaxed, floor: number, depth: number): void {
    if (relaxed.status === 'infeasible') return;
    const bound = Math.max(floor, relaxed.bound);
    if (relaxed.status === 'cutoff' || bound >= this.#sought.cutoff) this.drop(bound);
    else {
      const { columns } = relaxed;
      const raised = this.#sought.raised(bound);
      this.#heap.push({ ...part, ...(columns && { columns }), bound: raised, relaxed, depth });
    }
  }

  /** Relaxes the children of a node and keeps those that can still hold a better blend. */
  *split(
    node: Node,
    { basis }: Pick<Relaxed, 'basis'>,
    children: readonly Child[] | null,
  ): Resting<boolean> {
    if (!children) return false;
    for (const { part, relaxed, floor } of children) {
      const least = Math.max(node.bound, floor);
      if (least >= this.#sought.cutoff) {
        this.drop(least);
        continue;
      }
      const known = relaxed ?? (yield* this.#sought.relax(part, basis, least));
      this.push(part, known, least, node.depth + 1);
    }
    return true;
  }

  /** Goes through the open parts, a rest after each, until none is left. */
  *explore(branch: (node: Node) => Resting<void>, before: () => void): Resting<void> {
    for (;;) {
      before();
      this.#at = this.#heap.pop() ?? null;
      if (!this.#at) return;
      this.nodes += 1;
      if (this.#at.bound >= this.#sought.cutoff) this.drop(this.#at.bound);
      else yield* branch(this.#at);
      this.#at = null;
      if (this.#heap.size > 0) yield;
    }
  }
}
