// The kept linear program of a search: one simplex over the few columns that have been worth something
// (master-columns.ts) and the few rows that bind (master-rows.ts). Every answer is priced over all columns of
// the node and checked against all rows; what is missing comes in and the simplex goes on, so the answer
// is that of all columns and rows. The bound follows from the multipliers alone, so it holds whatever rounding did
// to the simplex.
import { Effort, type Resting } from '#optimize/pacing/clock.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { NO_DOSES, type Doses } from '#optimize/problem/doses.ts';
import { MasterColumns } from './master-columns.ts';
import { MasterRows } from './master-rows.ts';
import {
  cutOf,
  packageCoverOf,
  type CoverRow,
  type Cut,
  type PackageCover,
} from './package-cuts.ts';
import type { Node } from './node.ts';
import { poolOf } from './relaxation.ts';

/** Where a program ended: the columns that are basic, the rows that bind. To start another from. */
export interface StartBasis {
  readonly columns: Int32Array;
  readonly binding: Int32Array;
}

/** What a node can do at best. */
export interface Relaxed {
  /** `infeasible`: the node holds no blend. `cutoff`: none below the cutoff. */
  readonly status: 'solved' | 'infeasible' | 'cutoff' | 'unsolved';
  /** Proven lower bound over the node: objective, or the slack when slack is sought. */
  readonly bound: number;
  readonly doses: Doses;
  readonly basis: StartBasis | null;
  /** The node's columns less those that no better blend can use. */
  readonly columns?: Int32Array | undefined;
}

/** A node with what it can do at best. */
export interface RelaxedNode {
  readonly node: Node;
  readonly relaxed: Relaxed;
}

/** Columns are brought in only where together they can take more than this off the bound. */
const WORTHLESS = -1e-9;
/** Sums of a contradiction this close to 0 are not distinguished from it. */
const ROUNDING = 1e-9;
/** Effort of setting the box of one column, and of looking at one that is priced. */
const BOX_EFFORT = 10;
const LOOK_EFFORT = 20;
/** Effort of looking at one column of a row for a cut. */
const CUT_EFFORT = 10;
/** Effort per column of summing rows to one over whole packages. */
const COVER_EFFORT = 100;

export class MasterProgram {
  readonly problem: BlendProblem;
  /** Objective units per unit of the simplex's cost. */
  readonly costScale: number;
  /** Slack of the wishes when the objective is minimised. */
  slack = 0;
  solves = 0;
  /** Work done, and whether it is time to rest. */
  readonly effort = new Effort();

  private readonly master: MasterColumns;
  private readonly rows: MasterRows;
  /** Weights of the rows by which the last node was proven to hold no blend below the cutoff. */
  private against: Float64Array | null = null;
  /** The basis the simplex starts from. */
  private from: Int32Array | null = null;

  /** @param slackMost largest slack any row must be valid for. */
  constructor(problem: BlendProblem, slackMost: number) {
    this.problem = problem;
    this.costScale = problem.objective.reduce((a, b) => Math.max(a, b), 0) || 1;
    const pool = poolOf(problem);
    this.master = new MasterColumns(problem, pool, this.costScale, this.effort);
    this.rows = new MasterRows(problem, pool, this.master, slackMost);
  }

  /** Columns the simplex holds. */
  get width(): number {
    return this.master.simplex.columns;
  }

  /** Drops all columns but these; one that is needed later comes back by its price. */
  focus(columns: Int32Array): void {
    this.rows.forget();
    this.master.focus(columns);
  }

  /**
   * Right after `leastObjective`, where it is solved: rows that hold for whole packages and that these
   * doses break, taken into the program. Returns whether there are any. They hold for every blend of
   * the node below the `worth` then given, at the same slack.
   */
  *cut(doses: Doses): Resting<boolean> {
    const { problem, effort, rows, master } = this;
    const cuts: Cut[] = [];
    const look = (row: CoverRow) => {
      const cut = cutOf(problem, row, doses);
      if (cut) cuts.push(cut);
      effort.spend(problem.columns.length * CUT_EFFORT);
    };
    look(master.weighedRows());
    for (const row of rows.bindingRows()) {
      if (effort.due) {
        yield;
        effort.rested();
      }
      look(row);
    }
    if (cuts.length > 0) rows.add(cuts);
    master.boxes.leftOver ||= cuts.length > 0;
    return cuts.length > 0;
  }

  /**
   * Right after `leastObjective` found nothing below the cutoff: the row over whole packages that this proof gives. It
   * holds for every blend below the cutoff whose load lies in the interval of that node, whatever else was
   * decided there. `null` where it says nothing.
   */
  packageCover(): PackageCover | null {
    const { against } = this;
    this.effort.spend(this.problem.columns.length * COVER_EFFORT);
    return (
      against &&
      packageCoverOf(
        this.problem,
        this.rows.weighed((i) => against[i]!),
      )
    );
  }

  /**
   * Proven least objective of a node with the wishes widened by `this.slack`.
   * @param cutoff gives up once the bound is past it.
   * @param worth blends at or above this objective need not be looked at: columns and doses that
   * only they use are left out, so above `worth` the bound says nothing.
   */
  *leastObjective(
    node: Node,
    basis: StartBasis | null,
    cutoff: number,
    worth = cutoff,
  ): Resting<Relaxed> {
    this.against = null;
    this.effort.pass(BOX_EFFORT * (node.columns ?? this.master.boxes.all).length);
    if (!this.master.boxes.set(node, worth)) return infeasible();
    this.start(basis);
    return yield* this.solve(node, this.slack, false, cutoff, worth);
  }

  /**
   * Proven least slack of a node, from `from` up: each contradiction the simplex finds names the
   * slack below which it stands; the wishes are widened to there and the simplex goes on.
   * @param worth no closer blends than this need be looked at: columns that only they have are dropped.
   */
  *leastSlack(
    node: Node,
    basis: StartBasis | null,
    from: number,
    cutoff: number,
    worth = cutoff,
  ): Resting<Relaxed> {
    this.effort.pass(BOX_EFFORT * (node.columns ?? this.master.boxes.all).length);
    if (!this.master.boxes.set(node, Infinity)) return infeasible();
    let slack = from;
    let proven = from;
    let { columns } = node;
    if (from > cutoff) return { status: 'cutoff', bound: from, doses: NO_DOSES, basis };
    this.start(basis);
    for (let going = false; ; going = true) {
      const relaxed = yield* this.solve(node, slack, going, Infinity, Infinity);
      if (relaxed.status !== 'infeasible') return { ...relaxed, bound: proven, columns };
      const share = -this.master.leastOver(0); // The weighted rows are minus the reduced costs.
      const next = this.rows.endOfContradiction(slack, cutoff, share);
      if (next === null) return { status: 'cutoff', bound: cutoff, doses: NO_DOSES, basis: null };
      // With the least dose of any other alone the contradiction stands up to the slack `worth`.
      const room = this.rows.reachAt(worth, share) + ROUNDING;
      columns = this.master.within(columns ?? this.master.boxes.all, room) ?? columns;
      proven = Math.max(proven, next.proven);
      slack = next.slack;
    }
  }

  /** Makes the program of the essential rows and those that bind at a basis. */
  private start(basis: StartBasis | null): void {
    const { rows, master } = this;
    rows.begin(basis?.binding ?? null);
    master.begin(basis?.columns ?? null);
    if (!basis) {
      this.from = null;
      return;
    }
    // Rows that bind came in right after the essential ones; the activities of all others are basic.
    const { columns, binding } = basis;
    const { active } = rows;
    const from = new Int32Array(active.length);
    let at = 0;
    for (let k = 0; k < columns.length; k += 1) from[at++] = master.slotOf[columns[k]!]!;
    for (let i = 0; i < active.length && at < from.length; i += 1) {
      if (!binding.includes(active[i]!)) from[at++] = -1 - i;
    }
    this.from = from;
  }

  /** The basis reached. */
  private reached(): StartBasis {
    const { active } = this.rows;
    const { columnAt, simplex } = this.master;
    const binding = new Int32Array(active.length);
    const columns = new Int32Array(active.length);
    let [bound, basic] = [0, 0];
    for (let i = 0; i < active.length; i += 1) {
      if (!simplex.activityIsBasic(i)) binding[bound++] = active[i]!;
      const v = simplex.basicAt(i);
      if (v >= 0) columns[basic++] = columnAt[v]!;
    }
    return { columns: columns.slice(0, basic), binding: binding.slice(0, bound) };
  }

  private *solve(
    node: Node,
    slack: number,
    going: boolean,
    cutoff: number,
    worth: number,
  ): Resting<Relaxed> {
    const { costScale, effort, master, rows } = this;
    const { simplex, boxes } = master;
    let from: Int32Array | null | 'kept' = going ? 'kept' : this.from;
    for (;;) {
      rows.write(node, slack);
      this.solves += 1;
      let status = simplex.solveSome(rows.rows, from, cutoff / costScale);
      while (status === 'paused') {
        yield;
        status = simplex.goOnSolving(cutoff / costScale);
      }
      effort.spend(master.pricingEffort + rows.active.length * simplex.columns);
      effort.pass(LOOK_EFFORT * boxes.openCount);
      from = 'kept';
      if (status === 'infeasible') {
        // Over the columns held; the others may yet resolve it.
        master.price('rows alone', rows.written, simplex.ray);
        if (simplex.reach - master.missing() < 0) {
          this.against = simplex.ray;
          return { ...infeasible(), basis: this.reached() };
        }
        master.bringIn();
        continue;
      }
      master.price('cost', rows.written, simplex.multipliers);
      const bound = this.boundOf() * costScale;
      if (bound > cutoff) {
        this.against = simplex.multipliers;
        return { status: 'cutoff', bound, doses: NO_DOSES, basis: this.reached() };
      }
      const more = master.missing() < WORTHLESS ? master.bringIn() : false;
      if (status !== 'optimal') {
        if (more) continue;
        const ended = status === 'cutoff' ? status : 'unsolved';
        return { status: ended, bound, doses: NO_DOSES, basis: this.reached() };
      }
      const doses = master.doses();
      const broken = rows.activateViolated(node, slack, doses);
      if (more || broken) continue;
      // Dropped are those whose least dose alone lifts the bound past `worth`: bound + reduced cost *
      // least dose (Dantzig, Fulkerson and Johnson 1954).
      const left = master.within(node.columns ?? boxes.all, (worth - bound) / costScale);
      return { status: 'solved', bound, doses, basis: this.reached(), columns: left };
    }
  }

  /** min over the boxes of cost.x - y(Ax - s): valid for any multipliers y. Call after pricing. */
  private boundOf(): number {
    const bound = this.master.leastOver(this.master.simplex.rowsShare());
    return Number.isNaN(bound) ? -Infinity : bound;
  }
}

function infeasible(): Relaxed {
  return { status: 'infeasible', bound: Infinity, doses: NO_DOSES, basis: null };
}
