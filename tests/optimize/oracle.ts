// An independent answer to the same problem: the whole mixed-integer program at a fixed dry-hop load,
// written out plainly and solved by HiGHS. Shares nothing with the search but the stated problem.
import loadHighs, { type Highs } from 'highs';
import { signalOf } from '#engine/aroma.ts';
import { REQUIRED_G_PER_L, type BlendProblem } from '#optimize/problem.ts';

export const highs: Highs = await loadHighs();

interface Row {
  readonly entries: Map<number, number>;
  readonly lower: number;
  readonly upper: number;
}

/** Columns, rows and integers of a program, written as they come. */
class Program {
  readonly cost: number[] = [];
  readonly lower: number[] = [];
  readonly upper: number[] = [];
  readonly integer: boolean[] = [];
  readonly rows: Row[] = [];

  column(cost: number, lower: number, upper: number, integer = false): number {
    this.lower.push(lower);
    this.upper.push(upper);
    this.integer.push(integer);
    return this.cost.push(cost) - 1;
  }

  row(entries: Iterable<readonly [number, number]>, lower: number, upper: number): void {
    const sums = new Map<number, number>();
    for (const [j, v] of entries) sums.set(j, (sums.get(j) ?? 0) + v);
    for (const [j, v] of sums) if (v === 0) sums.delete(j);
    this.rows.push({ entries: sums, lower, upper });
  }

  /** Least cost; `null` when nothing is feasible. */
  solve(gap: number, seconds: number): { cost: number; values: Float64Array } | null {
    const starts = [0];
    const indices: number[] = [];
    const values: number[] = [];
    for (const { entries } of this.rows) {
      for (const [j, v] of entries) {
        indices.push(j);
        values.push(v);
      }
      starts.push(indices.length);
    }
    const bound = (v: number) =>
      v === Infinity ? highs.infinity : v === -Infinity ? -highs.infinity : v;
    const { continuous, integer } = highs.constants.variableType;
    const model = highs.createModel({
      numCols: this.cost.length,
      numRows: this.rows.length,
      colCost: this.cost,
      colLower: this.lower.map(bound),
      colUpper: this.upper.map(bound),
      rowLower: this.rows.map((r) => bound(r.lower)),
      rowUpper: this.rows.map((r) => bound(r.upper)),
      integrality: this.integer.map((i) => (i ? integer : continuous)),
      matrix: {
        format: 'csr',
        numRows: this.rows.length,
        numCols: this.cost.length,
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
      model.run();
      const status = model.getModelStatus();
      const { optimal, infeasible, unboundedOrInfeasible, timeLimit } = highs.constants.modelStatus;
      if (status === timeLimit) return null;
      if (status === infeasible || status === unboundedOrInfeasible) return null;
      if (status !== optimal) throw new Error(`HiGHS ended with status ${status}`);
      const cost = model.getObjectiveValue();
      return { cost, values: Float64Array.from(model.getSolution().colValue) };
    } finally {
      model.dispose();
    }
  }
}

/** Every way to choose for each of `n` things between false and true. */
function choices(n: number): boolean[][] {
  return Array.from({ length: 1 << n }, (_, i) =>
    Array.from({ length: n }, (_, k) => ((i >> k) & 1) === 1),
  );
}

export interface OracleOptions {
  /** Intensities by which wishes are widened; bitterness by 5 IBU each. */
  readonly slack?: number;
  readonly gap?: number;
  /** Gives up after this long and answers as if there were none; for comparing speed only. */
  readonly seconds?: number;
}

/**
 * The best blend whose dry-hop load is exactly `load` g/L; `null` when there is none.
 */
export function bestAtLoad(
  problem: BlendProblem,
  load: number,
  { slack = 0, gap = 1e-6, seconds = 600 }: OracleOptions = {},
): { objective: number; doses: number[] } | null {
  const program = new Program();
  const { uses, step, least, values, bitter } = problem;
  const unit = step > 0 ? step : 1;
  // A dose is unit * column.
  const dose = uses.map((use, j) =>
    program.column(
      problem.objective[j]! * unit,
      0,
      step > 0 ? Math.round(use.most / step) : use.most,
      step > 0,
    ),
  );
  const sum = (vector: ArrayLike<number>, factor = 1) =>
    dose.map((column, j) => [column, vector[j]! * unit * factor] as const);
  const kept = problem.halfLoads.map((h) => 1 / (1 + load / h));

  program.row(sum(problem.dry), load, load);
  for (const row of problem.axes) {
    const total = uses.map((_, j) =>
      row.damped.reduce((s, d, g) => s + d[j]! * kept[g]!, row.direct[j]!),
    );
    const base = row.dampedBase.reduce((s, d, g) => s + d * kept[g]!, row.base);
    const low = row.low - slack > 0 ? signalOf(row.low - slack, values) - base : -Infinity;
    const high = row.high < Infinity ? signalOf(row.high + slack, values) - base : Infinity;
    program.row(sum(total), low, high);
  }
  for (const { coef, most } of problem.limits) program.row(sum(coef), -Infinity, most);

  if (bitter) {
    const hot = Math.exp(-bitter.adsorption * load);
    const widened = bitter.held ? 0 : 5 * slack;
    const { terms } = bitter;
    const weight = terms.map((t) => t.weight * (t.adsorbed ? hot : 1));
    const base = terms.reduce((s, t, i) => s + weight[i]! * t.base, bitter.base);
    if (bitter.atLeast !== undefined) {
      for (const capped of choices(terms.length)) {
        const constant = terms.reduce((s, t, i) => s + (capped[i] ? weight[i]! * t.cap : 0), 0);
        const linear = terms.flatMap((t, i) => (capped[i] ? [] : sum(t.alpha, weight[i])));
        program.row(
          [...sum(bitter.plain), ...linear],
          bitter.atLeast - widened - base - constant,
          Infinity,
        );
      }
    }
    if (bitter.atMost !== undefined) {
      const parts = terms.map((t, i) => {
        const reach = uses.reduce((s, u, j) => s + t.alpha[j]! * u.most, 0);
        const part = program.column(0, 0, Infinity);
        const atCap = program.column(0, 0, 1, true);
        // part >= alpha unless at the cap, part >= cap if at the cap
        program.row([[part, 1], [atCap, reach], ...sum(t.alpha, -1)], 0, Infinity);
        program.row(
          [
            [part, 1],
            [atCap, -t.cap],
          ],
          0,
          Infinity,
        );
        return [part, weight[i]!] as const;
      });
      program.row([...sum(bitter.plain), ...parts], -Infinity, bitter.atMost + widened - base);
    }
  }

  if (least > 0) {
    uses.forEach((use, j) => {
      const used = program.column(0, 0, 1, true);
      program.row(
        [
          [dose[j]!, unit],
          [used, -use.most],
        ],
        -Infinity,
        0,
      );
      program.row(
        [
          [dose[j]!, unit],
          [used, -least],
        ],
        0,
        Infinity,
      );
    });
  }
  if (problem.hopsAtMost < problem.varieties.length) {
    const inside = problem.varieties.map(() => program.column(0, 0, 1, true));
    uses.forEach((use, j) =>
      program.row(
        [
          [dose[j]!, unit],
          [inside[use.variety]!, -use.most],
        ],
        -Infinity,
        0,
      ),
    );
    program.row(
      inside.map((column) => [column, 1] as const),
      -Infinity,
      problem.hopsAtMost,
    );
  }
  for (const v of problem.required) {
    const enough = Math.max(least, step) || REQUIRED_G_PER_L;
    program.row(sum(uses.map((u) => (u.variety === v ? 1 : 0))), enough, Infinity);
  }
  const solved = program.solve(gap, seconds);
  if (!solved) return null;
  return { objective: solved.cost, doses: dose.map((column) => solved.values[column]! * unit) };
}

/**
 * The best blend over all loads of whole weighing steps up to `upTo` g/L: exact where doses come in
 * steps. `null` when there is none.
 */
export function bestOverSteps(
  problem: BlendProblem,
  upTo: number,
  options: OracleOptions = {},
): number {
  let best = Infinity;
  const last = Math.round(Math.min(upTo, problem.loadMax) / problem.step);
  for (let k = 0; k <= last; k += 1) {
    best = Math.min(best, bestAtLoad(problem, k * problem.step, options)?.objective ?? Infinity);
  }
  return best;
}
