// Columns of one hop at one stage, but for a few. Where thousands of lots are all but the same, a search that
// decides on one lot after the other makes no progress, as the next lot takes its place. A decision on all of
// them at once does.
import { leastDose, type BlendProblem } from '#optimize/problem/problem.ts';
import type { Members } from './rows.ts';

export class ColumnGroup implements Members {
  /** The same for the same columns. */
  readonly key: string;
  readonly #problem: BlendProblem;
  readonly #variety: number;
  readonly #stage: string;
  readonly #but: ReadonlySet<number>;

  /** @param but columns of the hop at the stage that are not in the group. */
  constructor(problem: BlendProblem, variety: number, stage: string, but: readonly number[]) {
    this.#problem = problem;
    this.#variety = variety;
    this.#stage = stage;
    this.#but = new Set(but);
    this.key = [variety, stage, ...[...this.#but].sort((a, b) => a - b)].join(' ');
  }

  /** Least dose of a column that is used, g/L. */
  get least(): number {
    return leastDose(this.#problem);
  }

  has(column: number): boolean {
    const { variety, stage } = this.#problem.columns[column]!;
    return variety === this.#variety && stage === this.#stage && !this.#but.has(column);
  }

  get(column: number): number | undefined {
    return this.has(column) ? 1 : undefined;
  }

  *keys(): Generator<number> {
    for (const j of this.#problem.columnsOfVariety[this.#variety]!) if (this.has(j)) yield j;
  }

  *[Symbol.iterator](): Generator<[number, number]> {
    for (const j of this.keys()) yield [j, 1];
  }
}
