// The linear rows that hold for every blend whose total dry-hop load lies in an interval, and that hold
// exactly when the interval is one load. Nothing here is an approximation of the answer: a row may be
// wider than the truth, never narrower, so every bound that follows from these rows is valid.
import { bitterSources } from './bitter-rows.ts';
import { leastOf, type BlendProblem } from './problem.ts';
import type { RowForm, RowSource } from './rows.ts';
import { axisSources } from './signal-rows.ts';
import type { LpRow } from './simplex.ts';

/** A row written out: scaled so that its largest coefficient is 1. */
export interface ScaledRow {
  readonly coef: Float64Array;
  readonly scale: number;
  /** Least and most the columns can make of it. */
  readonly least: number;
  readonly most: number;
  readonly form: RowForm;
}

function indicator(n: number, ones: readonly number[]): Float64Array {
  const vector = new Float64Array(n);
  for (const j of ones) vector[j] = 1;
  return vector;
}

/** All rows of a problem in fixed order; a search activates those that bind. */
export class RowPool {
  readonly sources: readonly RowSource[];
  /** First of the rows "variety v is used", one per variety. */
  readonly firstVariety: number;
  private readonly problem: BlendProblem;

  constructor(problem: BlendProblem) {
    this.problem = problem;
    const n = problem.uses.length;
    const plain = { moving: null, capped: false, essential: false };
    const load: RowSource = {
      ...plain,
      name: 'dry-hop load',
      fixed: false,
      essential: true,
      form: ({ from, to }) => ({ vectors: [problem.dry], factors: [1], lower: from, upper: to }),
    };
    const limits = problem.limits.map(({ name, coef, most }): RowSource => {
      const form = { vectors: [coef], factors: [1], lower: -Infinity, upper: most };
      return { ...plain, name, fixed: true, form: () => form };
    });
    const varieties = problem.usesOf.map((uses, v): RowSource => {
      const form = () => ({
        vectors: [indicator(n, uses)],
        factors: [1],
        lower: leastOf(problem, v),
        upper: Infinity,
      });
      return { ...plain, name: `use of ${problem.varieties[v]}`, fixed: true, form };
    });
    const wishes = problem.axes.flatMap((row) => axisSources(problem, row));
    const before = [load, ...wishes, ...bitterSources(problem), ...limits];
    this.firstVariety = before.length;
    this.sources = [...before, ...varieties];
  }

  /** Writes a row out over some of the uses; all where none are named. */
  written(form: RowForm, columns?: Int32Array): ScaledRow {
    const { uses } = this.problem;
    const n = uses.length;
    const count = columns ? columns.length : n;
    const coef = new Float64Array(n);
    form.vectors.forEach((vector, v) => {
      const factor = form.factors[v]!;
      if (factor === 0) return;
      for (let k = 0; k < count; k += 1) {
        const j = columns ? columns[k]! : k;
        coef[j]! += factor * vector[j]!;
      }
    });
    let largest = 0;
    for (let k = 0; k < count; k += 1) {
      largest = Math.max(largest, Math.abs(coef[columns ? columns[k]! : k]!));
    }
    const scale = largest > 0 ? 1 / largest : 1;
    let least = 0;
    let most = 0;
    for (let k = 0; k < count; k += 1) {
      const j = columns ? columns[k]! : k;
      coef[j]! *= scale;
      const reach = coef[j]! * uses[j]!.most;
      if (reach < 0) least += reach;
      else most += reach;
    }
    return { coef, scale, least, most, form };
  }

  /** The row with its bounds at a slack; a bound out of the columns' reach stays out of it. */
  bounded({ coef, scale, least, most, form }: ScaledRow, r: number, slack: number): LpRow {
    const { moving } = this.sources[r]!;
    let { lower, upper } = form;
    if (moving?.side === 'lower') lower += moving.at(slack);
    else if (moving) upper += moving.at(slack);
    return {
      coef,
      lower: Math.min(Math.max(lower * scale, least - 1), most + 1),
      upper: Math.max(Math.min(upper * scale, most + 1), least - 1),
    };
  }

  /** The row bound by nothing. */
  unbound({ coef, least, most }: ScaledRow): LpRow {
    return { coef, lower: least - 1, upper: most + 1 };
  }
}
