// The kept linear program of a search: one simplex, rows of the pool brought in when they bind, boxes
// set from a node's decisions. Answers with a bound that is proven whatever the simplex did.
import type { BlendProblem } from './problem.ts';
import { RowPool, type ScaledRow } from './relaxation.ts';
import type { CapChoice, Interval } from './rows.ts';
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
  /** Uses that can still be in a better blend of this part; all where absent. */
  readonly columns?: Int32Array;
}

/** What a part can do at best. */
export interface Relaxed {
  /** `infeasible`: the part holds no blend. `cutoff`: none below the cutoff. */
  readonly status: 'solved' | 'infeasible' | 'cutoff' | 'unsolved';
  /** Proven lower bound over the part: objective, or the slack when slack is sought. */
  readonly bound: number;
  readonly doses: Doses;
  readonly basis: Basis | null;
  /** The part's columns less those that no better blend can use. */
  readonly columns?: Int32Array | undefined;
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

/** Rows written out for one interval: by row, or by row and cap choices. */
interface IntervalRows {
  readonly rows: (ScaledRow | undefined)[];
  readonly bounded: (LpRow | undefined)[];
  readonly capped: Map<string, ScaledRow>;
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
  private readonly fixedRows: (ScaledRow | undefined)[] = [];
  private readonly all: Int32Array;
  private readonly most: Float64Array;
  private readonly isIn: Uint8Array;
  private readonly isOut: Uint8Array;

  constructor(problem: BlendProblem, slackMost: number) {
    this.problem = problem;
    this.slackMost = slackMost;
    this.pool = new RowPool(problem);
    this.most = Float64Array.from(problem.uses, (u) => u.most);
    this.all = Int32Array.from(problem.uses, (_, j) => j);
    this.costScale = problem.objective.reduce((a, b) => Math.max(a, b), 0) || 1;
    const cost = problem.objective.map((c) => c / this.costScale);
    this.simplex = new Simplex(cost, new Float64Array(cost.length), this.most);
    this.isActive = new Uint8Array(this.pool.sources.length);
    this.isActive[0] = 1;
    this.cacheMost = Math.max(8, Math.floor(CACHE_BYTES / (1 + cost.length * 8 * 20)));
    this.isIn = new Uint8Array(problem.varieties.length);
    this.isOut = new Uint8Array(problem.varieties.length);
    this.pool.sources.forEach((source, r) => {
      if (source.essential && r > 0) this.activate(r);
    });
  }

  /**
   * Proven least objective of a part with the wishes widened by `this.slack`.
   * @param cutoff gives up once the bound is past it.
   * @param worth blends at or above this objective need not be looked at: columns and doses that
   * only they use are left out, so above `worth` the bound says nothing.
   */
  leastObjective(part: Part, basis: Basis | null, cutoff: number, worth = cutoff): Relaxed {
    if (!this.setBoxes(part, worth)) return infeasible();
    return this.solveWith(part, this.slack, basis, cutoff, worth);
  }

  /**
   * Proven least slack of a part, from `from` up: each contradiction the simplex finds names the
   * slack below which it stands; the wishes are widened to there and the simplex goes on.
   */
  leastSlack(part: Part, basis: Basis | null, from: number, cutoff: number): Relaxed {
    if (!this.setBoxes(part, Infinity)) return infeasible();
    let slack = from;
    let proven = from;
    let start = basis;
    if (from > cutoff) return { status: 'cutoff', bound: from, doses: NO_DOSES, basis };
    for (;;) {
      const relaxed = this.solveWith(part, slack, start, Infinity, Infinity);
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

  /** Boxes of the part's columns; false where its decisions clash. */
  private setBoxes({ decisions, interval, columns = this.all }: Part, worth: number): boolean {
    const { simplex, problem, isIn, isOut, most, costScale } = this;
    const { lower, upper, cost } = simplex;
    lower.fill(0);
    upper.fill(0);
    isIn.fill(0);
    isOut.fill(0);
    let inCount = 0;
    for (const v of problem.required) {
      isIn[v] = 1;
      inCount += 1;
    }
    for (let d = decisions; d; d = d.before) {
      if (d.kind === 'out') isOut[d.variety] = 1;
      else if (d.kind === 'in' && !isIn[d.variety]) {
        isIn[d.variety] = 1;
        inCount += 1;
      }
    }
    if (inCount > problem.hopsAtMost) return false;
    for (let v = 0; v < isIn.length; v += 1) if (isIn[v] && isOut[v]) return false;
    const full = inCount === problem.hopsAtMost;
    simplex.inPlay = columns;
    for (let k = 0; k < columns.length; k += 1) {
      const j = columns[k]!;
      const v = problem.uses[j]!.variety;
      if (isOut[v] || (full && !isIn[v])) continue;
      let box = most[j]!;
      if (problem.dry[j] === 1 && box > interval.to) box = interval.to;
      // More of it alone would already be worse than the best blend.
      if (cost[j]! * costScale * box > worth) box = Math.max(0, worth / (cost[j]! * costScale));
      upper[j] = box;
    }
    for (let d = decisions; d; d = d.before) {
      if (d.kind !== 'dose') continue;
      lower[d.use] = Math.max(lower[d.use]!, d.lower);
      upper[d.use] = Math.min(upper[d.use]!, d.upper);
      if (lower[d.use]! > upper[d.use]! * (1 + 1e-9) + 1e-12) return false;
      if (lower[d.use]! > upper[d.use]!) lower[d.use] = upper[d.use]!;
    }
    return true;
  }

  private solveWith(
    part: Part,
    slack: number,
    start: Basis | null,
    cutoff: number,
    worth: number,
  ): Relaxed {
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
        const columns = this.columnsLeft(part.columns ?? this.all, bound, worth);
        return { status: 'solved', bound, doses, basis, columns };
      }
    }
  }

  private doses(): Doses {
    const { x, inPlay } = this.simplex;
    const uses: number[] = [];
    const doses: number[] = [];
    for (let k = 0; k < inPlay.length; k += 1) {
      const j = inPlay[k]!;
      if (x[j]! <= ZERO_DOSE) continue;
      uses.push(j);
      doses.push(x[j]!);
    }
    return { uses, doses };
  }

  /**
   * The columns left once those are dropped whose least use alone lifts the bound past `worth`:
   * bound + reduced cost * least dose (Dantzig, Fulkerson and Johnson 1954). Call right after a
   * solve; `undefined` where hardly any would go.
   */
  private columnsLeft(columns: Int32Array, bound: number, worth: number): Int32Array | undefined {
    const { simplex, costScale } = this;
    const { price, lower, upper } = simplex;
    const { least, step } = this.problem;
    const room = (worth - bound) / costScale;
    const dose = Math.max(least, step);
    if (dose === 0 || !(room < Infinity)) return undefined;
    let kept = 0;
    const left = new Int32Array(columns.length);
    for (let k = 0; k < columns.length; k += 1) {
      const j = columns[k]!;
      if (upper[j] === 0) {
        // Out by a decision: its price was not computed, and the part never needs it again.
        continue;
      }
      if (lower[j]! > 0 || price[j]! * dose <= room) left[kept++] = j;
    }
    return kept < columns.length * 0.9 ? left.slice(0, kept) : undefined;
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
      const { moving } = pool.sources[r]!;
      const { vectors, factors, ...form } = this.writtenRow(part, r).form;
      const lower = moving?.side === 'lower' ? form.lower + moving.at(slack) : form.lower;
      const upper = moving?.side === 'upper' ? form.upper + moving.at(slack) : form.upper;
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
    rows = { rows: [], bounded: [], capped: new Map() };
    this.cache.set(interval, rows);
    return rows;
  }

  private writtenRow({ interval, caps }: Part, r: number): ScaledRow {
    const { pool, slackMost } = this;
    const { fixed, capped, form } = pool.sources[r]!;
    if (fixed) {
      return (this.fixedRows[r] ??= pool.written(form(interval, slackMost, caps)));
    }
    const { rows, capped: byCaps } = this.intervalRows(interval);
    if (!capped) {
      return (rows[r] ??= pool.written(form(interval, slackMost, caps), interval.columns));
    }
    const key = `${r}/${caps.join()}`;
    let row = byCaps.get(key);
    if (!row) {
      row = pool.written(form(interval, slackMost, caps), interval.columns);
      byCaps.set(key, row);
    }
    return row;
  }

  private rowOf(part: Part, r: number, slack: number): LpRow {
    const { pool, isIn } = this;
    const { capped, moving } = pool.sources[r]!;
    const written = this.writtenRow(part, r);
    if (r >= pool.firstVariety && !isIn[r - pool.firstVariety]) return pool.unbound(written);
    if (capped || (moving && slack !== this.slack)) return pool.bounded(written, r, slack);
    const { bounded } = this.intervalRows(part.interval);
    return (bounded[r] ??= pool.bounded(written, r, slack));
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
