// The blend problem as it is in one draw of the lots: the same columns and limits, wishes and bitterness
// by what those lots hold. Beside the drawn wishes stand those of the middle lots, which every blend has
// to meet as well.
import type { AxisRow, BitterRow, BlendProblem } from '#optimize/problem/problem.ts';
import type { DrawnLots } from './drawn-lots.ts';

/** @param k number of the draw. */
export function problemInDraw(problem: BlendProblem, drawn: DrawnLots, k: number): BlendProblem {
  const n = problem.columns.length;
  const { bases } = drawn;
  const axes = problem.axes.map((row, a): AxisRow => {
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
  const { bitter } = problem;
  return {
    ...problem,
    axes: [...problem.axes, ...axes],
    bitter: bitter && bitterInDraw(bitter, drawn, k),
  };
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
