// The rows of a wished axis that hold for every blend whose dry-hop load D lies in [from, to].
// They are linear in the doses, though the signal falls with the load; `axisSources` says how they are derived.
import type { GramsPerLitre } from '#shared/units.ts';
import type { AxisRow, BlendProblem } from '#optimize/problem/problem.ts';
import { freeRow, type RowSource } from './rows.ts';
import { lossPerLoad, shareAtLoad } from '#engine/process/load-law.ts';
import { signalWindow } from '#optimize/problem/windows.ts';

/** References k for the rows of one axis: 0 and one per load group that drives it. */
function groupsOf(row: AxisRow): number[] {
  return row.damped.flatMap((d, g) => (row.dampedBase[g]! > 0 || d.some((v) => v > 0) ? [g] : []));
}

/** What the kept dry hops bring under factors by load group. */
function fromFixed(
  { dampedBase }: AxisRow,
  groups: readonly number[],
  damping: readonly number[],
): number {
  return groups.reduce((sum, g, i) => sum + dampedBase[g]! * damping[i]!, 0);
}

/**
 * Rows of one wish: per side one for each reference k.
 *
 * With f_g(D) = 1/(1 + D/h_g) falling, q_g = damped.x and D = dry.x linear in x:
 *   f_g(to) q_g = w_g (1 - k_g (to - D))    with w_g = f_g(D) q_g the true part, k_g = 1/(h_g + to)
 *   f_g(from) q_g = w_g (1 + k_g (D - from))                                     k_g = 1/(h_g + from)
 * Bounding the sum of the parts by the wish, and single parts by the interval's ends, gives for any
 * reference k >= 0 one valid row per side; k = 0 is the plain bound by the ends, k = k_g is exact at
 * both ends for group g (McCormick's envelope of w D).
 */
export function axisSources(problem: BlendProblem, row: AxisRow): RowSource[] {
  const { halfLoads, dry } = problem;
  const groups = groupsOf(row);
  const vectors = [row.direct, ...groups.map((g) => row.damped[g]!), dry];
  const factor = (g: number, load: GramsPerLitre) => shareAtLoad(load, halfLoads[g]!);
  const loss = (g: number, load: GramsPerLitre) => lossPerLoad(load, halfLoads[g]!);
  const references = [-1, ...groups];
  const common = { vectors, members: null, fixed: false, capped: false };
  let asked = signalWindow(problem, row, 0);
  let at = 0;
  const window = (slack: number) => {
    if (slack !== at) [asked, at] = [signalWindow(problem, row, slack), slack];
    return asked;
  };
  const low = (slack: number) => {
    const signal = window(slack).low - row.base;
    return signal > 0 ? signal : -Infinity;
  };
  const high = (slack: number) => window(slack).high - row.base;
  const sources: RowSource[] = [];
  if (row.low > -Infinity) {
    const least = Math.max(0, low(0));
    for (const reference of references) {
      sources.push({
        ...common,
        name: `${row.axis} at least`,
        moving: { side: 'lower', at: low },
        essential: reference < 0,
        form: ({ from, to }) => {
          const k = reference < 0 ? 0 : loss(reference, to);
          const damping = groups.map((g) => {
            const own = loss(g, to);
            return factor(g, to) + (to - from) * Math.max(0, own - k) * factor(g, from);
          });
          return {
            vectors,
            factors: [1, ...damping, -k * least],
            lower: -k * least * to - fromFixed(row, groups, damping),
            upper: Infinity,
          };
        },
      });
    }
  }
  if (row.high < Infinity) {
    for (const reference of references) {
      sources.push({
        ...common,
        name: `${row.axis} at most`,
        moving: { side: 'upper', at: high },
        essential: false,
        form: ({ from, to }, slackMost) => {
          const k = reference < 0 ? 0 : loss(reference, from);
          const most = k > 0 ? Math.max(0, high(slackMost)) : 0;
          // Where a wish may be widened past the end of the scale, the sum of the parts has no bound.
          if (most === Infinity) return freeRow(vectors);
          const damping = groups.map((g) => {
            const own = loss(g, from);
            return factor(g, from) - (to - from) * Math.max(0, own - k) * factor(g, to);
          });
          return {
            vectors,
            factors: [1, ...damping, -k * most],
            lower: -Infinity,
            upper: -k * most * from - fromFixed(row, groups, damping),
          };
        },
      });
    }
  }
  return sources;
}
