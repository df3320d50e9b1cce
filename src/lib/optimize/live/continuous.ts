// The blend of free doses: no count of hops, no least addition, no weighing step. Made to be asked again and
// again with other wishes: one simplex, rows written once for each load of a grid, a basis and a set of binding
// rows kept for each. At one load the rows are exact; the load is settled by a scan of the grid and golden
// section around the best, so the best load is found, not proven. Rests after every linear program.
import type { GramsPerLitre } from '#shared/units.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { ProofsAtLoad, type Weights } from './load-proofs.ts';
import { RowsAtLoad, type SharedRows } from './load-rows.ts';
import { allFromZero, type PricedColumns } from '#optimize/lp/column-generation.ts';
import { PricedSimplex } from '#optimize/lp/priced-simplex.ts';
import type { Basis } from '#optimize/lp/tableau.ts';
import { objectiveOf } from '#optimize/problem/evaluation.ts';
import type { Doses } from '#optimize/problem/doses.ts';

/** Loads scanned, g/L; the best is refined between its neighbours. */
const LOADS = [0, 0.5, 1, 2, 3, 4, 5.5, 7, 9, 12, 16, 22, 30, 42, 60, 85, 120];
/** Parts of the grid between two loads scanned. */
const PARTS = 8;
const GOLDEN = (3 - Math.sqrt(5)) / 2;
/** A miss no blend exceeds: wishes end at 10, and 100 IBU go with it. */
const SLACK_MOST = 20;
/** Least step by which the wishes are widened, in intensity. */
const SLACK_LEAST = 1e-10;
/** Doses below this are nothing, g/L. */
const ZERO_DOSE = 1e-9;
/** A blend counts as better from this share on, between two loads scanned; and among those scanned. */
const BETTER = 1e-9;
const CLEARLY_BETTER = 1e-6;
/** Values below this are told apart by as much as it is, in intensity or units of the objective. */
const LEAST_VALUE = 1e-3;

/** A blend of free doses. */
export interface FreeBlend {
  readonly doses: Doses;
  /** Of the chosen doses; kept additions do not count. */
  readonly objective: number;
}

/** The closest blend of free doses. */
export interface ClosestBlend extends FreeBlend {
  /** Intensities by which the wishes must be widened, and the bitterness window by 5 IBU each. */
  readonly miss: number;
}

/** What is kept of one load and one side of every cap. */
interface Known {
  readonly rows: RowsAtLoad;
  readonly proofs: ProofsAtLoad;
}
/** The best blend at one load and one side of every cap; `null` where there is none. */
type CellOptimum = { readonly doses: Doses; readonly value: number } | null;
type SolveCell = (known: Known, below: number) => Resting<CellOptimum>;
type BestGridCell = Exclude<CellOptimum, null> & GridCell;
/** A load by its number in the grid, and a side of every cap. */
interface GridCell {
  readonly at: number;
  readonly sides: number;
}

export class Continuous {
  readonly #problem: BlendProblem;
  readonly #simplex: PricedSimplex;
  readonly #costScale: number;
  /** As the simplex counts. */
  readonly #cost: Float64Array;
  readonly #priced: PricedColumns;
  readonly #loads: readonly GramsPerLitre[];
  readonly #sides: readonly number[];
  /** By load, then by sides. */
  readonly #known: (Known | undefined)[] = [];
  /** Rows written, by load; and those that no load changes. */
  readonly #shared: SharedRows[] = [];
  readonly #everywhere: SharedRows = [];
  /** The last proofs, by sides: they often hold at the next load too. */
  readonly #lastRay: (Weights | undefined)[] = [];
  readonly #lastBound: (Weights | undefined)[] = [];
  /** Where the last scan found the best: tried first, so that the other places are cut off early. */
  #hint: GridCell = { at: 0, sides: 0 };
  /** Linear programs solved. */
  solves = 0;

  /**
   * @param problem with a row for every axis that may be wished for.
   * @param known a load, g/L, at which a good blend is known.
   */
  constructor(problem: BlendProblem, known = 0) {
    this.#problem = problem;
    this.#costScale = problem.objective.reduce((a, b) => Math.max(a, b), 0) || 1;
    const most = Float64Array.from(problem.columns, (c) => c.most);
    const cost = problem.objective.map((c) => c / this.#costScale);
    this.#cost = cost;
    this.#priced = allFromZero(most);
    this.#simplex = new PricedSimplex(cost, most);
    this.#loads = gridTo(problem.loadMax, known);
    const limited = problem.bitter?.atMost !== undefined;
    const count = limited ? 1 << problem.bitter.terms.length : 1;
    this.#sides = Array.from({ length: count }, (_, mask) => mask);
  }

  /**
   * The best blend with the wishes widened by `slack`, in intensity; `null` where none is found.
   * @param asked the problem with the windows of the wishes, in the same columns.
   */
  *best(asked: BlendProblem, slack = 0): Resting<FreeBlend | null> {
    const found = yield* this.#overLoads((known, below) => this.#least(known, asked, slack, below));
    return found && { doses: found.doses, objective: found.value };
  }

  /**
   * The blend with the least miss, and among those within `room` of it, in intensity, the best;
   * `null` where the hard limits leave no blend at all.
   */
  *closest(asked: BlendProblem, room: number): Resting<ClosestBlend | null> {
    const nearest = yield* this.#overLoads((known, below) => this.#nearest(known, asked, below));
    if (!nearest) return null;
    const miss = nearest.value;
    const widened: SolveCell = (known, below) => this.#least(known, asked, miss + room, below);
    const { doses } = (yield* this.#overLoads(widened, nearest)) ?? nearest;
    return { doses, miss, objective: objectiveOf(this.#problem, doses) };
  }

  /**
   * The best over all loads: some of the grid, the grid around the best, then between its points.
   * Of places that are equally good the first counts, so that where the best was before decides what
   * is cut off and never what is found.
   * @param also a place looked at with those scanned.
   */
  *#overLoads(trial: SolveCell, also?: GridCell): Resting<BestGridCell | null> {
    let best: BestGridCell | null = null;
    const placeAt = (at: number, sides: number) => this.#placeAt(at, sides);
    const allSides = this.#sides;
    const look = function* (at: number, sides: number, share: number): Resting<boolean> {
      let below = Infinity;
      if (best) {
        const room = share * Math.max(Math.abs(best.value), LEAST_VALUE);
        const before = at < best.at || (at === best.at && sides < best.sides);
        below = before ? best.value + room : best.value - room;
      }
      const tried = yield* trial(placeAt(at, sides), below);
      yield;
      if (!tried || tried.value > below) return false;
      best = { ...tried, at, sides };
      return true;
    };
    /** With every side of the caps: which of them suits may change between two loads. */
    const lookOnAll = function* (at: number, first: number): Resting<boolean> {
      let better = yield* look(at, first, BETTER);
      for (const sides of allSides) {
        if (sides !== first && (yield* look(at, sides, BETTER))) better = true;
      }
      return better;
    };
    const hint = this.#hint;
    yield* look(hint.at, hint.sides, CLEARLY_BETTER);
    for (let at = 0; at < this.#loads.length; at += PARTS) {
      for (const sides of allSides) {
        if (at !== hint.at || sides !== hint.sides) yield* look(at, sides, CLEARLY_BETTER);
      }
    }
    const scanned = best as BestGridCell | null;
    if (scanned) this.#hint = { at: scanned.at, sides: scanned.sides };
    if (also) yield* look(also.at, also.sides, CLEARLY_BETTER);
    const start = best as BestGridCell | null;
    if (!start) return null;
    const { at } = start;
    let from = Math.max(0, at - PARTS);
    let middle = at;
    let to = Math.min(this.#loads.length - 1, at + PARTS);
    while (to - from > 1 && (middle - from > 1 || to - middle > 1)) {
      const below = middle - from > to - middle;
      const width = below ? middle - from : to - middle;
      const step = Math.max(1, Math.round(width * GOLDEN));
      const next = below ? middle - step : middle + step;
      if (yield* lookOnAll(next, (best as BestGridCell | null)!.sides)) {
        if (below) to = middle;
        else from = middle;
        middle = next;
      } else if (below) from = next;
      else to = next;
    }
    return best;
  }

  #placeAt(at: number, sides: number): Known {
    const key = at * this.#sides.length + sides;
    let known = this.#known[key];
    if (!known) {
      const shared = (this.#shared[at] ??= []);
      const rows = new RowsAtLoad(this.#problem, this.#loads[at]!, sides, shared, this.#everywhere);
      known = { rows, proofs: new ProofsAtLoad(rows, this.#cost, this.#priced) };
      this.#known[key] = known;
    }
    return known;
  }

  /** Least objective at a place; `null` where none is below `below`. */
  *#least(known: Known, asked: BlendProblem, slack: number, below: number): Resting<CellOptimum> {
    const { rows, proofs } = known;
    const { sides } = rows;
    if (rows.ruledOut(slack) || proofs.contradicted(asked, slack, this.#lastRay[sides]))
      return null;
    if (below < Infinity) {
      const most = below / this.#costScale;
      if (proofs.beyond(asked, slack, most, this.#lastBound[sides])) return null;
    }
    const doses = yield* this.#solved(known, asked, slack, below);
    return typeof doses === 'string' ? null : { doses, value: objectiveOf(this.#problem, doses) };
  }

  /**
   * Least slack at a place; `null` where none is below `below`. Each contradiction the simplex finds
   * names the slack at which it ends; the wishes are widened to there and the simplex goes on.
   */
  *#nearest(known: Known, asked: BlendProblem, below: number): Resting<CellOptimum> {
    const { rows, proofs } = known;
    const most = Math.min(below, SLACK_MOST);
    if (rows.ruledOut(most)) return null;
    if (proofs.contradicted(asked, most, this.#lastRay[rows.sides])) return null;
    let proven = 0;
    let beyond = 0;
    for (let going = false; ; going = true) {
      const next = proofs.endOfContradictions(asked, proven, most);
      if (next === null) return null;
      if (next > proven) beyond = 0;
      // Where rounding hides what the contradiction says.
      else if (going) beyond = Math.max(SLACK_LEAST, beyond * 4);
      if (beyond > SLACK_MOST) return null;
      proven = next;
      const doses = yield* this.#solved(known, asked, proven + beyond, Infinity, going);
      if (typeof doses !== 'string') return { doses, value: proven };
      yield;
    }
  }

  /** @param going on from the last solve, of the same rows with narrower windows. */
  *#solved(
    { rows, proofs }: Known,
    asked: BlendProblem,
    slack: number,
    below: number,
    going = false,
  ): Resting<Doses | 'infeasible' | 'none'> {
    const simplex = this.#simplex;
    if (!going) simplex.setUpper(rows.upper);
    for (let from: Basis | null | 'kept' = going ? 'kept' : rows.basis; ; from = 'kept') {
      this.solves += 1;
      const status = simplex.solve(rows.bounded(asked, slack), from, below / this.#costScale);
      rows.basis = simplex.basis();
      if (status === 'infeasible') {
        this.#lastRay[rows.sides] = proofs.keepRay(simplex.ray, simplex.columns);
        return 'infeasible';
      }
      this.#lastBound[rows.sides] = proofs.keepBound(simplex.multipliers, simplex.columns);
      if (status !== 'optimal') return 'none';
      const doses = dosesOf(simplex);
      if (!rows.activateViolated(asked, doses, slack)) return doses;
      yield;
    }
  }
}

function dosesOf({ x }: PricedSimplex): Doses {
  const columns: number[] = [];
  const doses: GramsPerLitre[] = [];
  for (let j = 0; j < x.length; j += 1) {
    if (x[j]! <= ZERO_DOSE) continue;
    columns.push(j);
    doses.push(x[j]!);
  }
  return { columns, doses };
}

/** Loads to scan up to the largest, and `PARTS - 1` between any two of them. */
function gridTo(most: GramsPerLitre, known: number): GramsPerLitre[] {
  const scanned = [...new Set([...LOADS, known].map((load) => Math.min(load, most)))];
  scanned.sort((a, b) => a - b);
  return scanned.flatMap((load, i) => {
    const next = scanned[i + 1];
    if (next === undefined) return [load];
    return Array.from({ length: PARTS }, (_, k) => load + ((next - load) * k) / PARTS);
  });
}
