// The kept linear program of a search: one simplex, rows of the pool brought in when they bind, boxes
// set from a node's decisions. Answers with a bound that is proven whatever the simplex did.
import type { BlendProblem } from './problem.ts';
import {
  RowPool,
  type CapChoice,
  type Interval,
  type RowForm,
  type ScaledRow,
} from './relaxation.ts';
import { Simplex, type Basis, type LpRow } from './simplex.ts';
import type { Doses } from './truth.ts';

/** A choice that narrows the problem, chained to the ones before it. */
export type Decision =
  | { readonly kind: 'in' | 'out'; readonly variety: number; readonly before: Decision | null }
  | {
      readonly kind: 'dose';
      readonly use: number;
      readonly lower: number;
      readonly upper: number;
      readonly before: Decision | null;
    };

/** A part of the problem: loads, decisions, sides of the capped bitter terms. */
export interface Part {
  readonly interval: Interval;
  readonly decisions: Decision | null;
  readonly caps: readonly CapChoice[];
}

/** What a part can do at best. */
export interface Relaxed {
  /** `infeasible`: the part holds no blend. `cutoff`: none below the cutoff. */
  readonly status: 'solved' | 'infeasible' | 'cutoff' | 'unsolved';
  /** Proven lower bound over the part: objective, or the slack when slack is sought. */
  readonly bound: number;
  readonly doses: Doses;
  readonly basis: Basis | null;
}

/** Doses below this are zero, g/L. */
const ZERO_DOSE = 1e-9;
const NO_DOSES: Doses = { uses: [], doses: [] };
/** Rows brought in at once, the most violated first. */
const ROWS_AT_ONCE = 4;
const ROW_TOLERANCE = 1e-8;
/** Width to which the least slack is pinned down, in intensity. */
const SLACK_WIDTH = 1e-6;
/** Bytes of row coefficients kept for intervals visited before. */
const CACHE_BYTES = 64e6;

interface IntervalRows {
  readonly forms: Map<string, RowForm>;
  readonly rows: Map<string, ScaledRow>;
}

export class Program {
  readonly problem: BlendProblem;
  readonly pool: RowPool;
  readonly simplex: Simplex;
  /** Objective units per unit of the simplex's cost. */
  readonly costScale: number;
  /** Slack of the wishes when the objective is minimised. */
  slack = 0;
  /** Largest slack any row must still be valid for. */
  slackMost: number;
  solves = 0;

  private readonly active: number[] = [0];
  private readonly isActive: Uint8Array;
  private readonly cache = new Map<Interval, IntervalRows>();
  private readonly cacheMost: number;
  private readonly most: Float64Array;
  private readonly isIn: Uint8Array;
  private readonly isOut: Uint8Array;
  private inCount = 0;

  constructor(problem: BlendProblem, slackMost: number) {
    this.problem = problem;
    this.slackMost = slackMost;
    this.pool = new RowPool(problem);
    this.most = Float64Array.from(problem.uses, (u) => u.most);
    this.costScale = problem.objective.reduce((a, b) => Math.max(a, b), 0) || 1;
    const cost = problem.objective.map((c) => c / this.costScale);
    this.simplex = new Simplex(cost, new Float64Array(cost.length), this.most);
    this.isActive = new Uint8Array(this.pool.sources.length);
    this.isActive[0] = 1;
    this.cacheMost = Math.max(8, Math.floor(CACHE_BYTES / (1 + cost.length * 8 * 20)));
    this.isIn = new Uint8Array(problem.varieties.length);
    this.isOut = new Uint8Array(problem.varieties.length);
    this.pool.sources.forEach((source, r) => {
      if (source.essential) this.activate(r);
    });
  }

  /** Proven least objective of a part with the wishes widened by `this.slack`. */
  leastObjective(part: Part, basis: Basis | null, cutoff: number): Relaxed {
    if (!this.setBoxes(part)) return infeasible();
    return this.solveWith(part, this.slack, basis, cutoff);
  }

  /**
   * Proven least slack of a part, from `from` up: each contradiction the simplex finds names the
   * slack below which it stands; the wishes are widened to there and the simplex goes on.
   */
  leastSlack(part: Part, basis: Basis | null, from: number, cutoff: number): Relaxed {
    if (!this.setBoxes(part)) return infeasible();
    let slack = from;
    let proven = from;
    let start = basis;
    if (from > cutoff) return { status: 'cutoff', bound: from, doses: NO_DOSES, basis };
    for (;;) {
      const relaxed = this.solveWith(part, slack, start, Infinity);
      if (relaxed.status !== 'infeasible') {
        return { ...relaxed, bound: proven };
      }
      const ray = this.simplex.ray.slice(0, this.active.length);
      const next = this.slackOfContradiction(part, ray, slack, cutoff);
      if (next === null) return { status: 'cutoff', bound: cutoff, doses: NO_DOSES, basis: null };
      proven = Math.max(proven, next.proven);
      slack = next.slack;
      start = relaxed.basis;
    }
  }

  private setBoxes({ decisions, interval }: Part): boolean {
    const { simplex, problem, isIn, isOut, most } = this;
    const { lower, upper } = simplex;
    lower.fill(0);
    upper.set(most);
    isIn.fill(0);
    isOut.fill(0);
    this.inCount = 0;
    for (const v of problem.required) {
      isIn[v] = 1;
      this.inCount += 1;
    }
    for (let d = decisions; d; d = d.before) {
      if (d.kind === 'dose') {
        lower[d.use] = Math.max(lower[d.use]!, d.lower);
        upper[d.use] = Math.min(upper[d.use]!, d.upper);
      } else if (d.kind === 'out') isOut[d.variety] = 1;
      else if (!isIn[d.variety]) {
        isIn[d.variety] = 1;
        this.inCount += 1;
      }
    }
    if (this.inCount > problem.hopsAtMost) return false;
    const full = this.inCount === problem.hopsAtMost;
    for (let j = 0; j < most.length; j += 1) {
      const v = problem.uses[j]!.variety;
      if (isOut[v] || (full && !isIn[v])) {
        if (isIn[v] || lower[j]! > 0) return false;
        upper[j] = 0;
      } else if (problem.dry[j] === 1 && upper[j]! > interval.to) upper[j] = interval.to;
      if (lower[j]! > upper[j]!) {
        if (lower[j]! > upper[j]! * (1 + 1e-9) + 1e-12) return false;
        lower[j] = upper[j]!;
      }
    }
    return true;
  }

  private solveWith(part: Part, slack: number, start: Basis | null, cutoff: number): Relaxed {
    const { simplex, costScale } = this;
    let basis = start;
    for (;;) {
      const rows = this.active.map((r) => this.rowOf(part, r, slack));
      this.solves += 1;
      const status = simplex.solve(rows, basis, cutoff / costScale);
      basis = simplex.basis();
      const bound = simplex.bound * costScale;
      if (status === 'infeasible') return { ...infeasible(), basis };
      if (status === 'cutoff' || bound > cutoff) {
        return { status: 'cutoff', bound, doses: NO_DOSES, basis };
      }
      if (status === 'unsolved') return { status, bound, doses: NO_DOSES, basis };
      const doses = this.doses();
      if (!this.activateViolated(part, slack, doses)) {
        return { status: 'solved', bound, doses, basis };
      }
    }
  }

  private doses(): Doses {
    const { x, columns } = this.simplex;
    const uses: number[] = [];
    const doses: number[] = [];
    for (let j = 0; j < columns; j += 1) {
      if (x[j]! <= ZERO_DOSE) continue;
      uses.push(j);
      doses.push(x[j]!);
    }
    return { uses, doses };
  }

  private activate(r: number): void {
    this.active.push(r);
    this.isActive[r] = 1;
  }

  private activateViolated(part: Part, slack: number, { uses, doses }: Doses): boolean {
    const { pool, isActive, isIn } = this;
    const violated: { r: number; by: number }[] = [];
    for (let r = 0; r < isActive.length; r += 1) {
      if (isActive[r] || (r >= pool.firstVariety && !isIn[r - pool.firstVariety])) continue;
      const { vectors, factors, lower, upper } = this.formOf(part, r, slack);
      let activity = 0;
      let size = 0;
      for (let v = 0; v < vectors.length; v += 1) {
        const factor = factors[v]!;
        if (factor === 0) continue;
        const vector = vectors[v]!;
        let sum = 0;
        for (let k = 0; k < uses.length; k += 1) sum += vector[uses[k]!]! * doses[k]!;
        activity += factor * sum;
        size += Math.abs(factor * sum);
      }
      const by = Math.max(lower - activity, activity - upper) / (size + 1e-6);
      if (by > ROW_TOLERANCE) violated.push({ r, by });
    }
    violated.sort((a, b) => b.by - a.by);
    for (const { r } of violated.slice(0, ROWS_AT_ONCE)) this.activate(r);
    return violated.length > 0;
  }

  private intervalRows(interval: Interval): IntervalRows {
    let rows = this.cache.get(interval);
    if (rows) return rows;
    if (this.cache.size >= this.cacheMost) {
      this.cache.delete(this.cache.keys().next().value!);
    }
    rows = { forms: new Map(), rows: new Map() };
    this.cache.set(interval, rows);
    return rows;
  }

  private key(part: Part, r: number, slack: number): string {
    const { wish, capped } = this.pool.sources[r]!;
    return `${r}${wish ? `/${slack}` : ''}${capped ? `/${part.caps.join()}` : ''}`;
  }

  private formOf(part: Part, r: number, slack: number): RowForm {
    const { forms } = this.intervalRows(part.interval);
    const key = this.key(part, r, slack);
    let form = forms.get(key);
    if (!form) {
      form = this.pool.sources[r]!.form(part.interval, slack, this.slackMost, part.caps);
      if (slack === this.slack) forms.set(key, form);
    }
    return form;
  }

  private rowOf(part: Part, r: number, slack: number): LpRow {
    const { pool, isIn } = this;
    const { rows } = this.intervalRows(part.interval);
    // Coefficients do not depend on the slack, bounds do.
    const key = pool.sources[r]!.capped ? `${r}/${part.caps.join()}` : String(r);
    let cached = rows.get(key);
    if (!cached) {
      cached = pool.materialise(this.formOf(part, r, slack));
      rows.set(key, cached);
    }
    if (r >= pool.firstVariety) {
      if (isIn[r - pool.firstVariety]) return cached.row;
      return { coef: cached.row.coef, lower: cached.least - 1, upper: cached.most + 1 };
    }
    if (!pool.sources[r]!.wish) return cached.row;
    const form = this.formOf(part, r, slack);
    return pool.bounded(cached, form);
  }

  /**
   * The slack at which a contradiction ends: `proven` below it, `slack` just above;
   * `null` if it stands up to the cutoff.
   */
  private slackOfContradiction(
    part: Part,
    ray: Float64Array,
    from: number,
    cutoff: number,
  ): { proven: number; slack: number } | null {
    const { active, simplex } = this;
    const { lower, upper, columns } = simplex;
    // Columns' share, without slack in it.
    const entry = new Float64Array(columns);
    active.forEach((r, i) => {
      const w = ray[i]!;
      if (w === 0) return;
      const { coef } = this.rowOf(part, r, from);
      for (let j = 0; j < columns; j += 1) entry[j]! += w * coef[j]!;
    });
    let share = 0;
    for (let j = 0; j < columns; j += 1) {
      share += Math.max(entry[j]! * lower[j]!, entry[j]! * upper[j]!);
    }
    const reach = (slack: number) => {
      let most = share;
      active.forEach((r, i) => {
        const w = ray[i]!;
        if (w === 0) return;
        const row = this.rowOf(part, r, slack);
        most -= Math.min(w * row.lower, w * row.upper);
      });
      return most;
    };
    let low = from;
    let atLow = reach(low);
    let high = cutoff;
    let atHigh = reach(high);
    if (atHigh < 0) return null;
    for (let round = 0; round < 60 && high - low > SLACK_WIDTH; round += 1) {
      // Regula falsi, kept away from the ends; halving every third time.
      const share =
        round % 3 === 2 ? 0.5 : Math.min(0.99, Math.max(0.01, atLow / (atLow - atHigh)));
      const middle = low + (high - low) * share;
      const value = reach(middle);
      if (value < 0) [low, atLow] = [middle, value];
      else [high, atHigh] = [middle, value];
    }
    return { proven: low, slack: high };
  }
}

function infeasible(): Relaxed {
  return { status: 'infeasible', bound: Infinity, doses: NO_DOSES, basis: null };
}
