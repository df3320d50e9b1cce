// The kept linear program of a search: one simplex over the few columns that have been worth something
// and the few rows that bind. Every answer is priced over all uses of the part and checked against all
// rows; what is missing comes in and the simplex goes on, so the program is never less than the whole.
// The bound is made of the multipliers alone: it is proven whatever the simplex did.
import { Effort, type Resting } from '#optimize/pacing/clock.ts';
import { Boxes, type Part } from './part.ts';
import { buyingIn } from '#optimize/problem/packages.ts';
import { Pricing } from './pricing.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { poolOf, type RowPool, type ScaledRow } from './relaxation.ts';
import { RowBook, type WrittenRow } from './row-book.ts';
import { Simplex, type LpRow } from '#optimize/lp/simplex.ts';
import { NO_DOSES, type Doses } from '#optimize/problem/truth.ts';

/** Where a program ended: the uses that are basic, the rows that bind. To start another from. */
export interface KeptBasis {
  readonly uses: Int32Array;
  readonly binding: Int32Array;
}

/** What a part can do at best. */
export interface Relaxed {
  /** `infeasible`: the part holds no blend. `cutoff`: none below the cutoff. */
  readonly status: 'solved' | 'infeasible' | 'cutoff' | 'unsolved';
  /** Proven lower bound over the part: objective, or the slack when slack is sought. */
  readonly bound: number;
  readonly doses: Doses;
  readonly basis: KeptBasis | null;
  /** The part's columns less those that no better blend can use. */
  readonly columns?: Int32Array | undefined;
}

/** Doses below this are zero, g/L. */
const ZERO_DOSE = 1e-9;
const NONE: readonly number[] = [];
/** Rows brought in at once, the most violated first. */
const ROWS_AT_ONCE = 4;
const ROW_TOLERANCE = 1e-8;
/** Columns brought in at once, the most promising first. */
const COLUMNS_AT_ONCE = 24;
/** A use whose reduced cost times its largest dose is above this is worth nothing. */
const WORTHLESS = -1e-9;
/** Sums of a contradiction this close to 0 are not told from it. */
const ROUNDING = 1e-9;
/** Width to which the least slack is pinned down, in intensity. */
const SLACK_WIDTH = 1e-6;

export class Program {
  readonly problem: BlendProblem;
  readonly pool: RowPool;
  /** Objective units per unit of the simplex's cost. */
  readonly costScale: number;
  /** Slack of the wishes when the objective is minimised. */
  slack = 0;
  /** Largest slack any row must still be valid for. */
  slackMost: number;
  solves = 0;
  /** Work done, and whether it is time to rest. */
  readonly effort = new Effort();

  private simplex: Simplex;
  private readonly pricing: Pricing;
  private readonly book: RowBook;
  /** Cost of each use, as the simplex counts. */
  private readonly cost: Float64Array;
  private readonly essential: readonly number[];
  /** Packages of the lots that are bought, g/L. */
  private readonly packageSizes: readonly number[];
  /** Rows in the program, by number in the pool; as they are; as the simplex has them. */
  private active: number[] = [];
  private written: WrittenRow[] = [];
  private rows: LpRow[] = [];
  private readonly isActive: Uint8Array;
  private readonly violated: { readonly r: number; readonly by: number }[] = [];
  /** The basis the simplex starts from. */
  private from: Int32Array | null = null;
  /** Use of each column, and column of each use or -1. */
  private useOf = new Int32Array(64);
  private readonly columnOf: Int32Array;
  /** The boxes of the part at hand. */
  private readonly boxes: Boxes;

  constructor(problem: BlendProblem, slackMost: number) {
    const n = problem.uses.length;
    this.problem = problem;
    this.slackMost = slackMost;
    this.pool = poolOf(problem);
    this.pricing = new Pricing(problem, this.pool);
    this.book = new RowBook(problem, this.pool);
    this.boxes = new Boxes(problem);
    this.packageSizes = buyingIn(problem.uses).bought.map((b) => b.package);
    this.costScale = problem.objective.reduce((a, b) => Math.max(a, b), 0) || 1;
    this.cost = problem.objective.map((c) => c / this.costScale);
    this.simplex = emptySimplex(this.effort);
    this.columnOf = new Int32Array(n).fill(-1);
    this.isActive = new Uint8Array(this.pool.sources.length);
    this.essential = this.pool.sources.flatMap((source, r) => (source.essential ? [r] : []));
  }

  /** Columns the simplex holds. */
  get width(): number {
    return this.simplex.columns;
  }

  /** Lets go of the columns of all uses but these; nothing is lost, what is needed comes back. */
  focus(uses: Int32Array): void {
    const held = uses.filter((j) => this.columnOf[j]! >= 0);
    this.columnOf.fill(-1);
    this.simplex = emptySimplex(this.effort);
    this.book.clear();
    for (const j of held) this.hold(j);
  }

  /** Brings a use into the simplex, its box still {0}. */
  private hold(j: number): number {
    const column = this.simplex.addColumn(this.cost[j]!);
    if (column >= this.useOf.length) {
      const longer = new Int32Array(2 * this.useOf.length);
      longer.set(this.useOf);
      this.useOf = longer;
    }
    this.useOf[column] = j;
    this.columnOf[j] = column;
    return column;
  }

  /**
   * Proven least objective of a part with the wishes widened by `this.slack`.
   * @param cutoff gives up once the bound is past it.
   * @param worth blends at or above this objective need not be looked at: columns and doses that
   * only they use are left out, so above `worth` the bound says nothing.
   */
  *leastObjective(
    part: Part,
    basis: KeptBasis | null,
    cutoff: number,
    worth = cutoff,
  ): Resting<Relaxed> {
    if (!this.boxes.set(part, worth)) return infeasible();
    this.start(basis);
    return yield* this.solve(part, this.slack, false, cutoff, worth);
  }

  /**
   * Proven least slack of a part, from `from` up: each contradiction the simplex finds names the
   * slack below which it stands; the wishes are widened to there and the simplex goes on.
   * @param worth no closer blends than this need be looked at: uses that only they have go.
   */
  *leastSlack(
    part: Part,
    basis: KeptBasis | null,
    from: number,
    cutoff: number,
    worth = cutoff,
  ): Resting<Relaxed> {
    if (!this.boxes.set(part, Infinity)) return infeasible();
    let slack = from;
    let proven = from;
    let { columns } = part;
    if (from > cutoff) return { status: 'cutoff', bound: from, doses: NO_DOSES, basis };
    this.start(basis);
    for (let going = false; ; going = true) {
      const relaxed = yield* this.solve(part, slack, going, Infinity, Infinity);
      if (relaxed.status !== 'infeasible') return { ...relaxed, bound: proven, columns };
      const next = this.slackOfContradiction(slack, cutoff);
      if (next === null) return { status: 'cutoff', bound: cutoff, doses: NO_DOSES, basis: null };
      columns = this.columnsAgainst(columns ?? this.boxes.all, worth) ?? columns;
      proven = Math.max(proven, next.proven);
      slack = next.slack;
    }
  }

  /** Makes the program of the essential rows and those that bind at a basis. */
  private start(basis: KeptBasis | null): void {
    for (const r of this.active) this.isActive[r] = 0;
    this.active = [...this.essential];
    for (const r of this.essential) this.isActive[r] = 1;
    for (const r of basis?.binding ?? []) this.activate(r);
    const { simplex, columnOf, boxes } = this;
    // What must be in is not left to be found: uses without a column are taken to be at 0.
    for (const j of boxes.dosed) if (boxes.floor[j]! > 0 && columnOf[j]! < 0) this.hold(j);
    for (const j of basis?.uses ?? []) if (columnOf[j]! < 0) this.hold(j);
    simplex.lower.fill(0, 0, simplex.columns);
    simplex.upper.fill(0, 0, simplex.columns);
    simplex.inPlayCount = 0;
    for (let k = 0; k < boxes.openCount; k += 1) {
      const j = boxes.open[k]!;
      if (columnOf[j]! >= 0) this.putInPlay(j);
    }
    if (!basis) {
      this.from = null;
      return;
    }
    // Rows that bind came in right after the essential ones; the activities of all others are basic.
    const { uses, binding } = basis;
    const from = new Int32Array(this.active.length);
    let at = 0;
    for (let k = 0; k < uses.length; k += 1) from[at++] = columnOf[uses[k]!]!;
    for (let i = 0; i < this.active.length && at < from.length; i += 1) {
      if (!binding.includes(this.active[i]!)) from[at++] = -1 - i;
    }
    this.from = from;
  }

  private putInPlay(j: number): void {
    const { simplex, boxes } = this;
    const column = this.columnOf[j]!;
    simplex.lower[column] = boxes.lower[j]!;
    simplex.upper[column] = boxes.upper[j]!;
    if (boxes.upper[j]! > 0) simplex.inPlay[simplex.inPlayCount++] = column;
  }

  private activate(r: number): void {
    if (this.isActive[r]) return;
    this.active.push(r);
    this.isActive[r] = 1;
  }

  /** The basis reached. */
  private reached(): KeptBasis {
    const { active, useOf, simplex } = this;
    const binding = new Int32Array(active.length);
    const uses = new Int32Array(active.length);
    let [bound, basic] = [0, 0];
    for (let i = 0; i < active.length; i += 1) {
      if (!simplex.activityIsBasic(i)) binding[bound++] = active[i]!;
      const v = simplex.basicAt(i);
      if (v >= 0) uses[basic++] = useOf[v]!;
    }
    return { uses: uses.slice(0, basic), binding: binding.slice(0, bound) };
  }

  private *solve(
    part: Part,
    slack: number,
    going: boolean,
    cutoff: number,
    worth: number,
  ): Resting<Relaxed> {
    const { simplex, costScale, pricing, boxes, effort } = this;
    let from: Int32Array | null | 'kept' = going ? 'kept' : this.from;
    for (;;) {
      this.writeRows(part, slack);
      this.solves += 1;
      let status = simplex.solveSome(this.rows, from, cutoff / costScale);
      while (status === 'paused') {
        yield;
        status = simplex.goOnSolving(cutoff / costScale);
      }
      effort.spend(boxes.openCount * pricing.width + this.active.length * simplex.columns);
      from = 'kept';
      if (status === 'infeasible') {
        // Over the columns held; the others may yet resolve it.
        pricing.price(boxes.open, boxes.openCount, null, this.active, this.written, simplex.ray);
        if (simplex.reach - this.missing() < 0) return { ...infeasible(), basis: this.reached() };
        this.bringIn();
        continue;
      }
      pricing.price(
        boxes.open,
        boxes.openCount,
        this.cost,
        this.active,
        this.written,
        simplex.multipliers,
      );
      const bound = this.boundOf() * costScale;
      if (bound > cutoff)
        return { status: 'cutoff', bound, doses: NO_DOSES, basis: this.reached() };
      const more = this.missing() < WORTHLESS ? this.bringIn() : false;
      if (status !== 'optimal') {
        if (more) continue;
        const ended = status === 'cutoff' ? status : 'unsolved';
        return { status: ended, bound, doses: NO_DOSES, basis: this.reached() };
      }
      const doses = this.doses();
      const broken = this.activateViolated(part, slack, doses);
      if (more || broken) continue;
      const columns = this.columnsLeft(part.columns ?? this.boxes.all, bound, worth);
      return { status: 'solved', bound, doses, basis: this.reached(), columns };
    }
  }

  private writeRows(part: Part, slack: number): void {
    const { active, written, rows, pool, book, simplex } = this;
    const { isIn } = this.boxes;
    written.length = active.length;
    rows.length = active.length;
    for (let i = 0; i < active.length; i += 1) {
      const r = active[i]!;
      const row = book.row(r, part.interval, part.caps, this.slackMost);
      const coef = book.write(row, r, this.useOf, simplex.columns);
      const said = r < pool.firstVariety || r >= pool.firstPackage || isIn[r - pool.firstVariety]!;
      const { lower, upper } = said
        ? pool.bounds(this.asDecided(row, r), pool.sources[r]!, slack)
        : { lower: row.least - 1, upper: row.most + 1 };
      written[i] = row;
      rows[i] = { coef, lower, upper };
    }
  }

  /** A row with the bounds that the part gives it. */
  private asDecided(row: ScaledRow, r: number): ScaledRow {
    const { pool, boxes } = this;
    if (r < pool.firstPackage) return row;
    const b = r - pool.firstPackage;
    const size = this.packageSizes[b]!;
    const lower = boxes.packagesFrom[b]! > 0 ? boxes.packagesFrom[b]! * size : -Infinity;
    return { ...row, form: { ...row.form, lower, upper: boxes.packagesTo[b]! * size } };
  }

  /** What the uses without a column, at most at their largest doses, could take off the bound. */
  private missing(): number {
    const { columnOf } = this;
    const { open, openCount, upper } = this.boxes;
    const { reduced } = this.pricing;
    let sum = 0;
    for (let k = 0; k < openCount; k += 1) {
      const j = open[k]!;
      if (columnOf[j]! < 0 && reduced[j]! < 0) sum += reduced[j]! * upper[j]!;
    }
    return sum;
  }

  /** Brings in the uses that could take most off the bound. Returns whether there were any. */
  private bringIn(): boolean {
    const { columnOf } = this;
    const { open, openCount, upper } = this.boxes;
    const { reduced } = this.pricing;
    const found: { j: number; worth: number }[] = [];
    for (let k = 0; k < openCount; k += 1) {
      const j = open[k]!;
      if (columnOf[j]! >= 0 || !(reduced[j]! < 0) || upper[j] === 0) continue;
      found.push({ j, worth: reduced[j]! * upper[j]! });
    }
    if (found.length > COLUMNS_AT_ONCE) found.sort((a, b) => a.worth - b.worth);
    for (const { j } of found.slice(0, COLUMNS_AT_ONCE)) {
      this.hold(j);
      this.putInPlay(j);
    }
    return found.length > 0;
  }

  /** min over the boxes of cost.x - y(Ax - s): valid for any multipliers y. Call after pricing. */
  private boundOf(): number {
    const bound = this.leastOver(this.simplex.rowsShare());
    return Number.isNaN(bound) ? -Infinity : bound;
  }

  /** `from` and the least that the reduced costs come to over the boxes. */
  private leastOver(from: number): number {
    const { open, openCount, lower, upper } = this.boxes;
    const { reduced } = this.pricing;
    let sum = from;
    for (let k = 0; k < openCount; k += 1) {
      const j = open[k]!;
      const d = reduced[j]!;
      sum += d < 0 ? d * upper[j]! : d * lower[j]!;
    }
    return sum;
  }

  private doses(): Doses {
    const { x, inPlay, inPlayCount } = this.simplex;
    const found: { j: number; dose: number }[] = [];
    for (let k = 0; k < inPlayCount; k += 1) {
      const column = inPlay[k]!;
      if (x[column]! > ZERO_DOSE) found.push({ j: this.useOf[column]!, dose: x[column]! });
    }
    found.sort((a, b) => a.j - b.j);
    return { uses: found.map((f) => f.j), doses: found.map((f) => f.dose) };
  }

  /**
   * The columns left once those are dropped whose least use alone lifts the bound past `worth`:
   * bound + reduced cost * least dose (Dantzig, Fulkerson and Johnson 1954). Call right after a
   * solve; `undefined` where hardly any would go.
   */
  private columnsLeft(columns: Int32Array, bound: number, worth: number): Int32Array | undefined {
    return this.columnsWithin(columns, (worth - bound) / this.costScale);
  }

  /**
   * The columns whose least use takes no more than `room`, by the reduced costs just priced;
   * `undefined` where hardly any would go.
   */
  private columnsWithin(columns: Int32Array, room: number): Int32Array | undefined {
    const { lower, upper } = this.boxes;
    const { reduced } = this.pricing;
    const dose = Math.max(this.problem.least, this.problem.step);
    if (dose === 0 || !(room < Infinity)) return undefined;
    let kept = 0;
    const left = new Int32Array(columns.length);
    for (let k = 0; k < columns.length; k += 1) {
      const j = columns[k]!;
      // What is left over costs nothing of its own: it goes with the uses of its lot.
      if (this.problem.uses[j]!.stage === 'unused') {
        left[kept++] = j;
        continue;
      }
      // Out by a decision: the part never needs it again.
      if (upper[j] === 0) continue;
      if (lower[j]! > 0 || reduced[j]! * dose <= room) left[kept++] = j;
    }
    return kept < columns.length * 0.9 ? left.slice(0, kept) : undefined;
  }

  private activateViolated(part: Part, slack: number, doses: Doses): boolean {
    const { pool, violated } = this;
    violated.length = 0;
    for (const r of pool.wide) this.lookAt(r, part, slack, doses);
    if (pool.narrow.size > 0) {
      for (const j of doses.uses) {
        for (const r of pool.narrow.get(j) ?? NONE) this.lookAt(r, part, slack, doses);
      }
    }
    for (const v of this.boxes.inside) this.lookAt(pool.firstVariety + v, part, slack, doses);
    for (const b of this.boxes.packed) this.lookAt(pool.firstPackage + b, part, slack, doses);
    if (violated.length > ROWS_AT_ONCE) violated.sort((a, b) => b.by - a.by);
    for (let i = 0; i < violated.length && i < ROWS_AT_ONCE; i += 1) this.activate(violated[i]!.r);
    return violated.length > 0;
  }

  private lookAt(r: number, part: Part, slack: number, doses: Doses): void {
    if (this.isActive[r]) return;
    const by = this.violation(part, r, slack, doses);
    if (by > ROW_TOLERANCE) this.violated.push({ r, by });
  }

  /** How far a blend is outside a row, as a share of what it brings to it. */
  private violation(part: Part, r: number, slack: number, { uses, doses }: Doses): number {
    const row = this.book.row(r, part.interval, part.caps, this.slackMost);
    const { moving } = this.pool.sources[r]!;
    let { lower, upper } = this.asDecided(row, r).form;
    if (moving?.side === 'lower') lower += moving.at(slack);
    else if (moving) upper += moving.at(slack);
    const { activity, size } = this.book.activity(row, r, uses, doses);
    return Math.max(lower - activity, activity - upper) / (size + 1e-6);
  }

  /**
   * The columns left once those are dropped with whose least use alone the contradiction just priced
   * stands up to the slack `worth`: what the weighted rows can be there, less what that use takes
   * from it, is below the 0 it must be. `undefined` where hardly any would go.
   */
  private columnsAgainst(columns: Int32Array, worth: number): Int32Array | undefined {
    return this.columnsWithin(columns, this.reachAt(worth, this.columnsShare()) + ROUNDING);
  }

  /** Most that the columns can bring to the contradiction just priced, without slack in it. */
  private columnsShare(): number {
    // The weighted rows are minus the reduced costs.
    return -this.leastOver(0);
  }

  /** Most that the weighted rows of the contradiction can be at a slack; below 0 it stands. */
  private reachAt(slack: number, share: number): number {
    const { active, written, rows, pool } = this;
    const { ray } = this.simplex;
    let most = share;
    for (let i = 0; i < active.length; i += 1) {
      const w = ray[i]!;
      if (w === 0) continue;
      const source = pool.sources[active[i]!]!;
      const bounds = source.moving ? pool.bounds(written[i]!, source, slack) : rows[i]!;
      most -= w > 0 ? w * bounds.lower : w * bounds.upper;
    }
    return most;
  }

  /**
   * The slack at which the contradiction just priced ends: `proven` below it, `slack` just above;
   * `null` if it stands up to the cutoff.
   */
  private slackOfContradiction(
    from: number,
    cutoff: number,
  ): { proven: number; slack: number } | null {
    const share = this.columnsShare();
    const reach = (slack: number) => this.reachAt(slack, share);
    let low = from;
    let atLow = reach(low);
    let high = cutoff;
    let atHigh = reach(high);
    if (atHigh < 0) return null;
    for (let round = 0; round < 60 && high - low > SLACK_WIDTH; round += 1) {
      // Regula falsi, kept away from the ends; halving every third time.
      const at = round % 3 === 2 ? 0.5 : Math.min(0.99, Math.max(0.01, atLow / (atLow - atHigh)));
      const middle = low + (high - low) * at;
      const value = reach(middle);
      if (value < 0) [low, atLow] = [middle, value];
      else [high, atHigh] = [middle, value];
    }
    return { proven: low, slack: high };
  }
}

function emptySimplex(effort: Effort): Simplex {
  const none = new Float64Array(0);
  return new Simplex(none, none, none, undefined, effort);
}

function infeasible(): Relaxed {
  return { status: 'infeasible', bound: Infinity, doses: NO_DOSES, basis: null };
}
