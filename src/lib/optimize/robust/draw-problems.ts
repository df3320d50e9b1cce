// The blend problem as it is in some draws of the lots at once: the same columns and limits, and beside the
// wishes at the middle figures those of each draw.
import type { AxisRow, BitterRow, BlendProblem } from '#optimize/problem/problem.ts';
import type { DrawnLots } from './drawn-lots.ts';

/**
 * @param draws their numbers; all of their wishes stand in the problem.
 * @param bitterIn number of the draw whose bitterness counts: a problem has but one.
 */
export function problemInDraws(
  problem: BlendProblem,
  drawn: DrawnLots,
  draws: readonly number[],
  bitterIn: number,
): BlendProblem {
  const { bitter } = problem;
  return {
    ...problem,
    axes: [...problem.axes, ...draws.flatMap((k) => axesInDraw(problem, drawn, k))],
    bitter: bitter && bitterInDraw(bitter, drawn, bitterIn),
  };
}

/** The wishes of draws already written down: a draw is needed again each time the groups are made anew. */
const written = new WeakMap<DrawnLots, Map<number, AxisRow[]>>();

/** The wishes in one draw; written down when first asked for. */
export function axesInDraw(problem: BlendProblem, drawn: DrawnLots, k: number): AxisRow[] {
  let known = written.get(drawn);
  if (!known) written.set(drawn, (known = new Map()));
  let rows = known.get(k);
  if (!rows) known.set(k, (rows = writtenAxes(problem, drawn, k)));
  return rows;
}

function writtenAxes(problem: BlendProblem, drawn: DrawnLots, k: number): AxisRow[] {
  const n = problem.columns.length;
  const { bases } = drawn;
  return problem.axes.map((row, a) => {
    const direct = new Float64Array(n);
    const damped = row.damped.map(() => new Float64Array(n));
    for (let j = 0; j < n; j += 1) {
      const column = drawn.column(j);
      direct[j] = column.direct[a]?.[k] ?? 0;
      for (let g = 0; g < damped.length; g += 1) damped[g]![j] = column.damped[a]![g]?.[k] ?? 0;
    }
    const dampedBase = bases.dampedBase[a]!.map((signals) => signals[k]!);
    return { ...row, base: bases.base[a]![k]!, dampedBase, direct, damped };
  });
}

function bitterInDraw(bitter: BitterRow, drawn: DrawnLots, k: number): BitterRow {
  const { bases } = drawn;
  return {
    ...bitter,
    base: bases.plain[k]!,
    plain: bitter.plain.map((_, j) => drawn.column(j).plain?.[k] ?? 0),
    terms: bitter.terms.map((term, i) => {
      const most = term.base + term.cap;
      const base = Math.min(bases.alpha[i]![k]!, most);
      const alpha = term.alpha.map((a, j) => (a > 0 ? (drawn.column(j).alpha?.[k] ?? 0) : 0));
      return { ...term, base, cap: most - base, alpha };
    }),
  };
}
