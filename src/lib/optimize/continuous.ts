// The blend of free doses: no count of hops, no least addition, no weighing step. Kept warm, for asking
// again and again with other wishes: one simplex, rows written once for each load of a grid, a basis
// and a set of binding rows for each. At one load the rows are exact; the load is settled by a scan of
// the grid and golden section around the best, so the best load is found, not proven.
import type { BlendProblem } from './problem.ts';
import { RowsAtLoad } from './load-rows.ts';
import { Simplex } from './simplex.ts';
import { objectiveOf, type Doses } from './truth.ts';

/** Loads scanned, g/L; the best is refined between its neighbours. */
const LOADS = [0, 0.5, 1, 2, 3, 4, 5.5, 7, 9, 12, 16, 22, 30, 42, 60, 85, 120];
/** Parts of the grid between two loads scanned. */
const PARTS = 8;
const GOLDEN = (3 - Math.sqrt(5)) / 2;
/** A miss no blend exceeds: wishes end at 10, and 100 IBU go with it. */
const SLACK_MOST = 20;
/** Least step by which the wishes are widened, in intensity. */
const SLACK_LEAST = 1e-5;
/** Doses below this are nothing, g/L. */
const ZERO_DOSE = 1e-9;
/** A blend counts as better from this share on. */
const BETTER = 1e-9;

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

/** What a part of the problem, one load and one side of every cap, can do. */
type Tried = { readonly kind: 'found'; readonly doses: Doses; readonly value: number } | null;
type Trial = (rows: RowsAtLoad, below: number) => Tried;
type Best = Exclude<Tried, null> & { readonly load: number; readonly sides: number };

export class Continuous {
  readonly #problem: BlendProblem;
  readonly #simplex: Simplex;
  readonly #costScale: number;
  readonly #loads: readonly number[];
  readonly #sides: readonly number[];
  readonly #grid = new Map<string, RowsAtLoad>();
  /** Where the best was last: looked at first, so that the rest is cut off early. */
  #hint = { load: 0, sides: 0 };
  /** Linear programs solved. */
  solves = 0;

  /**
   * @param problem with a row for every axis that may be wished for.
   * @param known a load, g/L, at which a good blend is known.
   */
  constructor(problem: BlendProblem, known = 0) {
    this.#problem = problem;
    this.#costScale = problem.objective.reduce((a, b) => Math.max(a, b), 0) || 1;
    const most = Float64Array.from(problem.uses, (u) => u.most);
    const cost = problem.objective.map((c) => c / this.#costScale);
    this.#simplex = new Simplex(cost, new Float64Array(cost.length), most);
    this.#loads = gridTo(problem.loadMax, known);
    const limited = problem.bitter?.atMost !== undefined;
    const count = limited ? 1 << problem.bitter.terms.length : 1;
    this.#sides = Array.from({ length: count }, (_, mask) => mask);
  }

  /**
   * The best blend with the wishes widened by `slack`, in intensity; `null` where none is found.
   * @param asked the problem with the windows of the wishes, in the same columns.
   */
  best(asked: BlendProblem, slack = 0): FreeBlend | null {
    const found = this.#overLoads((rows, below) => this.#least(rows, asked, slack, below));
    return found && { doses: found.doses, objective: found.value };
  }

  /**
   * The blend with the least miss, and among those within `room` of it, in intensity, the best;
   * `null` where the hard limits leave no blend at all.
   */
  closest(asked: BlendProblem, room: number): ClosestBlend | null {
    const nearest = this.#overLoads((rows, below) => this.#nearest(rows, asked, below));
    if (!nearest) return null;
    const miss = nearest.value;
    const best = this.best(asked, miss + room);
    const doses = best?.doses ?? nearest.doses;
    return { doses, miss, objective: objectiveOf(this.#problem, doses) };
  }

  /** The best over all loads: some of the grid, the grid around the best, then between its points. */
  #overLoads(trial: Trial): Best | null {
    let best: Best | null = null;
    const values = new Map<number, number>();
    const look = (rows: RowsAtLoad) => {
      const below = best ? best.value - BETTER * (1 + Math.abs(best.value)) : Infinity;
      const tried = trial(rows, below);
      if (!tried || tried.value > below) return false;
      best = { ...tried, load: rows.load, sides: rows.sides };
      values.set(rows.load, tried.value);
      return true;
    };
    look(this.#rowsAt(this.#hint.load, this.#hint.sides));
    for (let i = 0; i < this.#loads.length; i += PARTS) {
      for (const sides of this.#sides) look(this.#rowsAt(this.#loads[i]!, sides));
    }
    const start = best as Best | null;
    if (!start) return null;
    const at = this.#loads.indexOf(start.load);
    let from = Math.max(0, at - PARTS);
    let middle = at;
    let to = Math.min(this.#loads.length - 1, at + PARTS);
    while (to - from > 1 && (middle - from > 1 || to - middle > 1)) {
      const below = middle - from > to - middle;
      const width = below ? middle - from : to - middle;
      const step = Math.max(1, Math.round(width * GOLDEN));
      const next = below ? middle - step : middle + step;
      if (look(this.#rowsAt(this.#loads[next]!, start.sides))) {
        if (below) to = middle;
        else from = middle;
        middle = next;
      } else if (below) from = next;
      else to = next;
    }
    const { load, sides } = best as unknown as Best;
    this.#hint = { load, sides };
    return best;
  }

  #rowsAt(load: number, sides: number): RowsAtLoad {
    const key = `${load}/${sides}`;
    let rows = this.#grid.get(key);
    if (!rows) {
      rows = new RowsAtLoad(this.#problem, load, sides);
      this.#grid.set(key, rows);
    }
    return rows;
  }

  /** Least objective at a load; `null` where none is below `below`. */
  #least(rows: RowsAtLoad, asked: BlendProblem, slack: number, below: number): Tried {
    if (rows.ruledOut(slack) || rows.contradicted(asked, slack)) return null;
    if (below < Infinity && rows.beyond(asked, slack, below / this.#costScale)) return null;
    const doses = this.#solved(rows, asked, slack, below);
    return doses === 'none' || doses === 'infeasible'
      ? null
      : { kind: 'found', doses, value: objectiveOf(this.#problem, doses) };
  }

  /**
   * Least slack at a load; `null` where none is below `below`. Each contradiction the simplex finds
   * names the slack at which it ends; the wishes are widened to there and the simplex goes on.
   */
  #nearest(rows: RowsAtLoad, asked: BlendProblem, below: number): Tried {
    const most = Math.min(below, SLACK_MOST);
    if (rows.ruledOut(most) || rows.contradicted(asked, most)) return null;
    for (let slack = 0; ;) {
      const next = rows.endOfContradictions(asked, slack, most);
      if (next === null) return null;
      slack = next;
      const doses = this.#solved(rows, asked, slack, Infinity);
      if (doses === 'none') return null;
      if (doses !== 'infeasible') return { kind: 'found', doses, value: slack };
      // Where rounding hides what the contradiction says.
      slack += SLACK_LEAST;
      if (slack > most) return null;
    }
  }

  #solved(
    rows: RowsAtLoad,
    asked: BlendProblem,
    slack: number,
    below: number,
  ): Doses | 'infeasible' | 'none' {
    const simplex = this.#simplex;
    simplex.upper.set(rows.upper);
    for (;;) {
      this.solves += 1;
      const status = simplex.solve(rows.bounded(asked, slack), rows.basis, below / this.#costScale);
      rows.basis = simplex.basis();
      if (status === 'infeasible') {
        rows.keepRay(simplex.ray);
        return 'infeasible';
      }
      rows.keepBound(simplex.bound, simplex.multipliers);
      if (status !== 'optimal') return 'none';
      const doses = dosesOf(simplex);
      if (!rows.activateViolated(asked, doses, slack)) return doses;
    }
  }
}

function dosesOf({ x }: Simplex): Doses {
  const uses: number[] = [];
  const doses: number[] = [];
  for (let j = 0; j < x.length; j += 1) {
    if (x[j]! <= ZERO_DOSE) continue;
    uses.push(j);
    doses.push(x[j]!);
  }
  return { uses, doses };
}

/** Loads to scan up to the largest, and `PARTS - 1` between any two of them. */
function gridTo(most: number, known: number): number[] {
  const scanned = [...new Set([...LOADS, known].map((load) => Math.min(load, most)))];
  scanned.sort((a, b) => a - b);
  return scanned.flatMap((load, i) => {
    const next = scanned[i + 1];
    if (next === undefined) return [load];
    return Array.from({ length: PARTS }, (_, k) => load + ((next - load) * k) / PARTS);
  });
}
