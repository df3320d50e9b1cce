// A mixed-integer program written down row by row and handed to HiGHS, a solver this project does not
// build on: the independent half of every comparison with the search.
import loadHighs, { type Highs } from 'highs';

export const highs: Highs = await loadHighs();

interface Row {
  readonly entries: ReadonlyMap<number, number>;
  readonly lower: number;
  readonly upper: number;
}

/** Sum of factor times column. */
export type Terms = Iterable<readonly [column: number, factor: number]>;

export interface Solved {
  readonly cost: number;
  readonly values: Float64Array;
  /** Reduced costs, where columns need not be whole. */
  readonly reduced: Float64Array;
}

function saysInfeasible(status: number): boolean {
  const { infeasible, unboundedOrInfeasible } = highs.constants.modelStatus;
  return status === infeasible || status === unboundedOrInfeasible;
}

export class OracleProgram {
  private readonly cost: number[] = [];
  private readonly lower: number[] = [];
  private readonly upper: number[] = [];
  private readonly integer: boolean[] = [];
  private readonly rows: Row[] = [];

  column(cost: number, lower: number, upper: number, integer = false): number {
    this.lower.push(lower);
    this.upper.push(upper);
    this.integer.push(integer);
    return this.cost.push(cost) - 1;
  }

  row(terms: Terms, lower: number, upper: number): void {
    const entries = new Map<number, number>();
    for (const [j, v] of terms) if (v !== 0) entries.set(j, (entries.get(j) ?? 0) + v);
    this.rows.push({ entries, lower, upper });
  }

  atMost(terms: Terms, upper: number): void {
    this.row(terms, -Infinity, upper);
  }

  atLeast(terms: Terms, lower: number): void {
    this.row(terms, lower, Infinity);
  }

  /**
   * Least cost; `null` when nothing is feasible, or nothing was settled in `seconds`.
   * @param gap relative gap at which the solver may stop.
   * @param relaxed whether columns need not be whole.
   */
  solve(gap: number, seconds: number, { relaxed = false } = {}): Solved | null {
    return this.opened(gap, seconds, relaxed, (model) => {
      model.run();
      const status = model.getModelStatus();
      const { optimal, timeLimit } = highs.constants.modelStatus;
      if (saysInfeasible(status) || status === timeLimit) return null;
      if (status !== optimal) throw new Error(`HiGHS ended with status ${status}`);
      const { colValue, colDual } = model.getSolution();
      return {
        cost: model.getObjectiveValue(),
        values: Float64Array.from(colValue),
        reduced: Float64Array.from(colDual),
      };
    });
  }

  /**
   * Looks for better and better values, from given ones on, and gives the bound that was proven: infinite where
   * nothing is feasible.
   * @param start value of each column, where it is not 0.
   * @param found called with each better solution.
   */
  improve(
    gap: number,
    seconds: number,
    start: ReadonlyMap<number, number>,
    found: (values: Float64Array) => void,
  ): number {
    return this.opened(gap, seconds, false, (model) => {
      model.setSolution({ colValue: this.cost.map((_, j) => start.get(j) ?? 0) });
      model.run({
        [highs.constants.callbackType.mipImprovingSolution]: ({ data }) => {
          if (data.mip_solution) found(data.mip_solution);
        },
      });
      if (saysInfeasible(model.getModelStatus())) return Infinity;
      return Number(model.info.get('mip_dual_bound'));
    });
  }

  private opened<T>(
    gap: number,
    seconds: number,
    relaxed: boolean,
    run: (model: ReturnType<Highs['createModel']>) => T,
  ): T {
    const { cost, rows } = this;
    const starts = [0];
    const indices: number[] = [];
    const values: number[] = [];
    for (const { entries } of rows) {
      indices.push(...entries.keys());
      values.push(...entries.values());
      starts.push(indices.length);
    }
    const bound = (v: number) => (Math.abs(v) === Infinity ? Math.sign(v) * highs.infinity : v);
    const { continuous, integer } = highs.constants.variableType;
    const model = highs.createModel({
      numCols: cost.length,
      numRows: rows.length,
      colCost: cost,
      colLower: this.lower.map(bound),
      colUpper: this.upper.map(bound),
      rowLower: rows.map((r) => bound(r.lower)),
      rowUpper: rows.map((r) => bound(r.upper)),
      integrality: this.integer.map((i) => (i && !relaxed ? integer : continuous)),
      matrix: {
        format: 'csr',
        numRows: rows.length,
        numCols: cost.length,
        starts,
        indices,
        values,
      },
    });
    try {
      model.options.set({
        output_flag: false,
        mip_rel_gap: gap,
        time_limit: seconds,
        mip_feasibility_tolerance: 1e-9,
        primal_feasibility_tolerance: 1e-9,
      });
      return run(model);
    } finally {
      model.dispose();
    }
  }
}
