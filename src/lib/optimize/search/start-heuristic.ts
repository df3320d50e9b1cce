// Where the first real blends are sought: where the load is fixed the rows are exact, so relaxed blends
// there are close to real ones. Goes from load to load as far as a blend worth finding can go, then names the most
// promising ones to be rounded; one step at a time, so that a search can be stopped between them.
import type { GramsPerLitre } from '#shared/units.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { Node } from '#optimize/relaxation/node.ts';
import type { StartBasis, Relaxed, RelaxedNode } from '#optimize/relaxation/master-program.ts';

/** Loads looked at, g/L. */
const LOADS = [0, 0.5, 1, 2, 3, 4, 5.5, 7, 9, 12, 16, 22];
/** How many of them, the most promising first, are rounded. */
const ROUNDED = 3;

export type StartStep =
  | { readonly kind: 'relax'; readonly node: Node; readonly basis: StartBasis | null }
  | { readonly kind: 'round'; readonly node: Node; readonly relaxed: Relaxed };

export class StartHeuristic {
  /** The relaxation over all loads. */
  readonly whole: Relaxed;
  private readonly root: Node;
  private readonly problem: BlendProblem;
  private at = 0;
  private basis: StartBasis | null;
  private readonly solved: RelaxedNode[] = [];
  private toRound: RelaxedNode[] | null = null;

  constructor(root: Node, whole: Relaxed, problem: BlendProblem) {
    this.root = root;
    this.whole = whole;
    this.problem = problem;
    this.basis = whole.basis;
  }

  /** Bound beyond which a load is not among those to be rounded. */
  get enough(): number {
    return this.solved[ROUNDED - 1]?.relaxed.bound ?? Infinity;
  }

  /** The next thing to do with loads up to `loadMost`; `null` when there is nothing left. */
  next(loadMost: GramsPerLitre): StartStep | null {
    const { step } = this.problem;
    const load = LOADS[this.at];
    if (load !== undefined && load <= loadMost) {
      this.at += 1;
      const at = step > 0 ? Math.round(load / step) * step : load;
      return {
        kind: 'relax',
        node: { ...this.root, interval: { from: at, to: at } },
        basis: this.basis,
      };
    }
    this.toRound ??= this.solved.slice(0, ROUNDED);
    const next = this.toRound.shift();
    return next ? { kind: 'round', ...next } : null;
  }

  found(node: Node, relaxed: Relaxed): void {
    if (relaxed.status !== 'solved') return;
    this.basis = relaxed.basis;
    this.solved.push({ node, relaxed });
    this.solved.sort((a, b) => a.relaxed.bound - b.relaxed.bound);
  }
}
