// The nodes of a search still open, the one with the lowest bound first.
import type { Node } from '#optimize/relaxation/node.ts';
import type { Relaxed } from '#optimize/relaxation/master-program.ts';

/** A node with what is known of it. */
export interface OpenNode extends Node {
  readonly bound: number;
  readonly relaxed: Relaxed;
  readonly depth: number;
}

/** Nodes by bound, deepest first among equals: a binary heap. */
export class Heap<N extends OpenNode = OpenNode> {
  private readonly items: N[] = [];

  get size(): number {
    return this.items.length;
  }

  get least(): number {
    return this.items[0]?.bound ?? Infinity;
  }

  clear(): void {
    this.items.length = 0;
  }

  private before(a: N, b: N): boolean {
    if (a.bound !== b.bound) return a.bound < b.bound;
    if (a.relaxed.bound !== b.relaxed.bound) return a.relaxed.bound < b.relaxed.bound;
    return a.depth > b.depth;
  }

  push(open: N): void {
    const { items } = this;
    let i = items.push(open) - 1;
    while (i > 0) {
      const parent = (i - 1) >> 1;
      if (!this.before(items[i]!, items[parent]!)) break;
      [items[i], items[parent]] = [items[parent]!, items[i]!];
      i = parent;
    }
  }

  pop(): N | undefined {
    const { items } = this;
    const top = items[0];
    const last = items.pop();
    if (top === undefined || last === undefined || items.length === 0) return top;
    items[0] = last;
    let i = 0;
    for (;;) {
      let least = i;
      for (const child of [2 * i + 1, 2 * i + 2]) {
        if (child < items.length && this.before(items[child]!, items[least]!)) least = child;
      }
      if (least === i) return top;
      [items[i], items[least]] = [items[least]!, items[i]!];
      i = least;
    }
  }
}
