// A guarded blend problem: what a column brings to a wish counts as in a worse lot than the middle one. The exact
// search over it finds blends of hops that differ little from lot to lot. They are starting points; nothing about
// lots is proven by them.
import type { GramsPerLitre } from '#shared/units.ts';
import { shareAtLoad } from '#engine/process/load-law.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import type { AxisRow, BlendProblem } from '#optimize/problem/problem.ts';
import type { DrawnLots } from './drawn-lots.ts';

/** Of drawn lots these count as worse than the one taken where the guard is 1: 10 %. */
const WORST = 0.1;
/** Least and most that guarded figures are of the middle ones. */
const LEAST_RATIO = 0.05;
const MOST_RATIO = 20;

/** Columns whose draws are put in order between two rests: about a millisecond. */
const COLUMNS_AT_ONCE = 64;

/** By wish its low side and its high side, then the two of the bitterness: 0 is the middle lot. */
export type Guards = readonly number[];

/** Ratios of a worse lot to the middle one, by wish and side, then by column; at a load. */
export class Ratios {
  private readonly low: readonly Float64Array[];
  private readonly high: readonly Float64Array[];

  constructor(
    private readonly problem: BlendProblem,
    private readonly drawn: DrawnLots,
  ) {
    const n = problem.columns.length;
    this.low = problem.axes.map(() => new Float64Array(n).fill(1));
    this.high = problem.axes.map(() => new Float64Array(n).fill(1));
  }

  /** Works the ratios out at a dry-hop load, some columns of a wish at a time. */
  *at(load: GramsPerLitre): Resting<void> {
    const { problem, drawn } = this;
    const left = problem.halfLoads.map((h) => shareAtLoad(load, h));
    const sum = new Float64Array(drawn.count);
    const rank = Math.floor(WORST * drawn.count);
    for (const [a, row] of problem.axes.entries()) {
      for (let j = 0; j < problem.columns.length; j += 1) {
        if (j % COLUMNS_AT_ONCE === 0) yield;
        const { direct, damped } = drawn.column(j);
        const middle = row.direct[j]! + left.reduce((m, f, g) => m + f * row.damped[g]![j]!, 0);
        if (!(middle > 0)) continue;
        sum.fill(0);
        add(sum, 1, direct[a]!);
        left.forEach((f, g) => add(sum, f, damped[a]![g]!));
        sum.sort();
        this.low[a]![j] = sum[rank]! / middle;
        this.high[a]![j] = sum[sum.length - 1 - rank]! / middle;
      }
    }
  }

  /** The problem with its wishes guarded. */
  guarded(guards: Guards): BlendProblem {
    const { problem } = this;
    const axes = problem.axes.flatMap((row, a) => [
      ...(row.low > -Infinity
        ? [scaled({ ...row, high: Infinity }, this.low[a]!, guards[2 * a]!)]
        : []),
      ...(row.high < Infinity
        ? [scaled({ ...row, low: -Infinity }, this.high[a]!, guards[2 * a + 1]!)]
        : []),
    ]);
    const { bitter } = problem;
    const at = 2 * problem.axes.length;
    return {
      ...problem,
      axes,
      bitter: bitter && {
        ...bitter,
        atLeast:
          bitter.atLeast === undefined ? undefined : bitter.atLeast * (1 + guards[at]! * 0.1),
        atMost:
          bitter.atMost === undefined ? undefined : bitter.atMost / (1 + guards[at + 1]! * 0.1),
      },
    };
  }
}

function scaled(row: AxisRow, ratios: Float64Array, guard: number): AxisRow {
  if (guard === 0) return row;
  const by = (vector: Float64Array) =>
    vector.map((value, j) => {
      const ratio = 1 + guard * (ratios[j]! - 1);
      return value * Math.min(Math.max(ratio, LEAST_RATIO), MOST_RATIO);
    });
  return { ...row, direct: by(row.direct), damped: row.damped.map(by) };
}

function add(sum: Float64Array, weight: number, values: Float64Array | null): void {
  if (values) for (let k = 0; k < sum.length; k += 1) sum[k]! += weight * values[k]!;
}
