// From a relaxed blend to one with no more hops, forms of a hop and additions than there may be: the largest
// stay, and the rest is dosed anew. Finds good blends early; those it misses are left to the search.
import { FORMS } from '#shared/ids.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { RelaxedNode } from '#optimize/relaxation/master-program.ts';
import { columnsIn, type Decision, type Node } from '#optimize/relaxation/node.ts';
import { decidedIn } from './branching.ts';
import { decidedAdditions, manyForms, undecidedAdditions, type Relax } from './counting.ts';

/** Forms and additions taken out before it is given up. */
const SOLVES = 24;

/** Columns that all stay open while doses are settled; of more only those of the hops of the blend. */
const COLUMNS_LEFT_OPEN = 2000;

/** A node whose relaxed blend keeps all counts, made from one whose blend may not; `null` where none comes out. */
export function* withinCounts(
  problem: BlendProblem,
  { node: start, relaxed: first }: RelaxedNode,
  solve: Relax,
): Resting<RelaxedNode | null> {
  let node = fewHops(problem, start, first.doses);
  if (!node) return null;
  let relaxed = node === start ? first : yield* solve(node, first.basis);
  for (let round = 0; round < SOLVES; round += 1) {
    if (relaxed.status !== 'solved') return null;
    const { doses, basis } = relaxed;
    const many = manyForms(problem, doses);
    const added = decidedAdditions(node);
    const free = undecidedAdditions(problem, added, doses);
    const room = problem.additionsAtMost - added.size;
    let before: Decision | null = node.decisions;
    if (many) {
      const { variety } = many;
      const kept = many.forms.slice(0, problem.formsPerHopAtMost);
      for (const form of FORMS) {
        if (!kept.includes(form)) before = { kind: 'form_out', variety, form, before };
      }
    } else if (free.length > room) {
      before = { kind: 'dose', column: free.at(-1)!, lower: 0, upper: 0, before };
    } else if (free.length < room) return { node, relaxed };
    else {
      // All additions there may be: no other comes in while the doses are settled.
      const inside = new Set([...added, ...free]);
      const isOpen = (j: number) => inside.has(j) || problem.columns[j]!.stage === null;
      return { node: { ...node, columns: columnsIn(problem, node).filter(isOpen) }, relaxed };
    }
    node = { ...node, decisions: before };
    relaxed = yield* solve(node, basis);
  }
  return null;
}

/** The node with only the hops decided in and the largest of the others. */
function fewHops(problem: BlendProblem, node: Node, { columns, doses }: Doses): Node | null {
  const weights = new Map<number, number>();
  columns.forEach((j, k) => {
    const { variety: v, stage } = problem.columns[j]!;
    if (stage !== null) weights.set(v, (weights.get(v) ?? 0) + doses[k]!);
  });
  const kept = decidedIn(problem, node);
  if (kept.size > problem.hopsAtMost) return null;
  const all = new Set([...kept, ...weights.keys()]);
  if (all.size <= problem.hopsAtMost) {
    const open = columnsIn(problem, node);
    if (open.length <= COLUMNS_LEFT_OPEN) return node;
    return { ...node, columns: open.filter((j) => all.has(problem.columns[j]!.variety)) };
  }
  const order = [...weights].filter(([v]) => !kept.has(v)).sort((a, b) => b[1] - a[1]);
  for (const [v] of order) if (kept.size < problem.hopsAtMost) kept.add(v);
  const inside = (j: number) => kept.has(problem.columns[j]!.variety);
  return { ...node, columns: columnsIn(problem, node).filter(inside) };
}
