// Several real choices: after a blend is found, the best of all blends without its main hop, and without that of
// every blend before. A blend with the same main hop and another beside it counts only where no blend does without
// that main hop.
import { ascending, rollups, sort, sum } from 'd3';
import type { Blend, Proof } from '#shared/answers/answer.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { Alternatives } from './alternatives.ts';
import type { Goal } from './primal-heuristic.ts';
import { gapOf } from './proof.ts';

/**
 * The hop a blend has most of, of those that may be missed; of equal doses the first by name. `null` where none
 * may. @param kept varieties without which there is no blend, beside those required.
 */
export function mainHop(
  problem: BlendProblem,
  { columns, doses }: Doses,
  kept: ReadonlySet<number> = new Set(),
): number | null {
  const { required, varieties } = problem;
  const dosed = rollups(
    columns.flatMap((j, k) => (problem.columns[j]!.stage === null ? [] : [k])),
    (own) => sum(own, (k) => doses[k]!),
    (k) => problem.columns[columns[k]!]!.variety,
  );
  const free = dosed.filter(([v, dose]) => dose > 0 && !required.includes(v) && !kept.has(v));
  const [main] = sort(free, ([v, a], [w, b]) => b - a || ascending(varieties[v], varieties[w]));
  return main?.[0] ?? null;
}

/**
 * One blend after the other, each the best without the main hop of every blend before. Where no blend does
 * without one, that hop is kept, and the next of the same blend is left out in its place.
 */
export class OtherBlends {
  search: Alternatives;
  /** Hops left out, one for each blend so far, with the bound from which on blends are sought. */
  private leftOut: { readonly hop: number | null; readonly floor: number }[] = [];
  private readonly kept = new Set<number>();
  private last: Doses | null = null;

  constructor(
    private readonly problem: BlendProblem,
    private readonly goal: Goal,
  ) {
    this.search = new Alternatives(problem, goal);
  }

  /** Closes a blend. `floor`: proven bound on all that follow. Returns its main hop; `null` where all must be in. */
  close(doses: Doses, floor: number): number | null {
    const hop = mainHop(this.problem, doses, this.kept);
    this.last = doses;
    this.leaveOut(hop, floor);
    return hop;
  }

  /**
   * Once no blend is left: keeps the hop left out last, and looks for blends without the next one of that blend.
   * Returns whether there is one.
   */
  keepLast(): boolean {
    const { problem, goal, last } = this;
    const out = this.leftOut.pop();
    if (!last || out?.hop == null) return false;
    this.kept.add(out.hop);
    const next = mainHop(problem, last, this.kept);
    if (next === null) return false;
    const before = this.leftOut;
    this.search = new Alternatives(problem, goal);
    this.leftOut = [];
    for (const { hop, floor } of before) this.leaveOut(hop, floor);
    this.leaveOut(next, out.floor);
    return true;
  }

  /** Hops the blends sought now do without. */
  get without(): string[] {
    return this.leftOut.flatMap(({ hop }) => (hop === null ? [] : this.problem.varieties[hop]!));
  }

  private leaveOut(hop: number | null, floor: number): void {
    this.leftOut.push({ hop, floor });
    this.search.exclude(new Set(hop === null ? [] : [hop]), floor);
  }
}

/** A blend among several. */
export interface Ranked {
  readonly blend: Blend;
  readonly proof: Proof;
  /** What is minimised: objective or largest miss. */
  readonly figure: number;
  readonly varieties: ReadonlySet<number>;
  /** Its main hop (`mainHop`). */
  readonly main: number | null;
}

/**
 * Adds a blend to those found before it. Proven means within a weighing step or a small share, so it
 * may beat some of them by that much: then it goes before them, unless one of them has its main hop.
 */
export function ranked(before: readonly Ranked[], late: Ranked): Ranked[] {
  let at = before.length;
  let bound = late.proof.lower_bound;
  for (; at > 0; at -= 1) {
    const { figure, varieties, proof } = before[at - 1]!;
    const beaten = late.figure < figure - 1e-9;
    if (!beaten || late.main === null || varieties.has(late.main)) break;
    bound = Math.min(bound, proof.lower_bound);
  }
  const proof = { ...late.proof, lower_bound: bound, gap: gapOf(late.figure, bound) };
  return [...before.slice(0, at), { ...late, proof }, ...before.slice(at)];
}
