// How far each axis can go alone: the least and the most of it that a blend under a brief's limits,
// stock, yeast and stages gives, whatever else the brief wishes. Doses are free: no count of hops, least
// addition or weighing step. At one dry-hop load the rows are exact, so each end is reached by doses
// that are at hand; the load is the best of a grid, found and not proven. The most ends at the end of
// the intensity scale, beyond which nothing can be wished for.
import { AXES, type AxisId } from '#shared/ids.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { INTENSITY_MAX } from '#shared/schemas/sizes.ts';
import { withoutCounts } from '#shared/schemas/limit-counts.ts';
import type { GramsPerLitre } from '#shared/units.ts';
import { intensityOf } from '#engine/predict/smell.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import { refusing } from '#optimize/search/clash.ts';
import {
  Clock,
  listening,
  STOPPED,
  type Resting,
  type Run,
  type Timing,
} from '#optimize/pacing/clock.ts';
import { RowsAtLoad, type SharedRows } from './load-rows.ts';
import type { AxisRow, BlendProblem } from '#optimize/problem/problem.ts';
import { CappedProgram } from '#optimize/lp/capped-program.ts';
import { stating } from '#optimize/problem/stating.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { signalAt, writeSignal } from '#optimize/problem/evaluation.ts';

/** Intensities between which an axis can be put. */
export interface AttainableRange {
  readonly least: number;
  readonly most: number;
  /** Intensity of the beer with only the hops the brief keeps. */
  readonly unhopped: number;
}
export type AttainableRanges = Readonly<Record<AxisId, AttainableRange>>;
/** An end of an axis with doses that reach it. */
interface End {
  readonly signal: number;
  readonly doses: Doses;
}
/** How a signal follows from a cost: signal = constant + sign * unit * cost. */
interface Aim {
  readonly constant: number;
  readonly unit: number;
}

/**
 * Loads scanned, g/L. The share of a dry hop that gets into the beer falls with the load as 1/(1 + D/h),
 * so that beyond the last one more hop adds little: less than h/(h + D) of all that is still to come.
 */
const LOADS = [0, 1, 2, 3, 4, 5.5, 7, 9, 12, 16, 22, 30, 42, 60, 85, 120, 240];
/** Parts of the gap to each neighbour of the best load that are looked at too. */
const PARTS = 4;
const NO_DOSES: Doses = { columns: [], doses: [] };
/** Doses below this are nothing, g/L. */
const ZERO_DOSE = 1e-9;

/** Finds the ends of single axes of one problem; each end starts from what the last one left. */
export class RangeSolver {
  readonly #problem: BlendProblem;
  /** Without wishes, and without the limits that `program` keeps by itself. */
  readonly #free: BlendProblem;
  readonly #program: CappedProgram;
  readonly #cost: Float64Array;
  readonly #loads: readonly GramsPerLitre[];
  readonly #grid = new Map<string, RowsAtLoad>();
  /** Rows that no load changes. */
  readonly #everywhere: SharedRows = [];

  /** @param problem with a row for every axis. */
  constructor(problem: BlendProblem) {
    this.#problem = problem;
    const { columns, limits } = problem;
    const axes = problem.axes.map((row) => ({ ...row, low: -Infinity, high: Infinity }));
    this.#free = { ...problem, axes, limits: limits.filter(({ of }) => of.kind !== 'stock') };
    const stock = limits.flatMap(({ of, only, most }) =>
      of.kind === 'stock' && only ? [{ columns: [...only.keys()], most }] : [],
    );
    this.#cost = new Float64Array(columns.length);
    this.#program = new CappedProgram(
      Float64Array.from(columns, (c) => c.most),
      stock,
    );
    this.#loads = [...new Set(LOADS.map((load) => Math.min(load, problem.loadMax)))];
  }

  /** One end of an axis; `null` where the limits leave no blend. @param sign 1 least, -1 most. */
  *end(row: AxisRow, sign: 1 | -1): Resting<End | null> {
    let best: End | null = null;
    let at = 0;
    const enough = () => {
      const far = best && intensityOf(best.signal, this.#problem.values);
      return sign < 0 && far !== null && far >= INTENSITY_MAX;
    };
    const loads = this.#loads;
    for (let k = 0; k < loads.length && !enough(); k += 1) {
      const found: End | null = yield* this.#better(row, sign, loads[k]!, best);
      if (found) [best, at] = [found, k];
    }
    if (enough()) return best;
    for (const next of best ? [loads[at - 1], loads[at + 1]] : []) {
      for (let part = 1; next !== undefined && part < PARTS; part += 1) {
        const load = loads[at]! + ((next - loads[at]!) * part) / PARTS;
        best = (yield* this.#better(row, sign, load, best)) ?? best;
      }
    }
    return best;
  }

  /** A further end at one load, over every choice of sides of the caps of bitterness; `null` if there is none. */
  *#better(row: AxisRow, sign: 1 | -1, load: GramsPerLitre, than: End | null): Resting<End | null> {
    const { bitter } = this.#problem;
    const sides = bitter?.atMost === undefined ? 1 : 1 << bitter.terms.length;
    let best: End | null = null;
    for (let side = 0; side < sides; side += 1) {
      const rows = this.#rowsAt(load, side);
      yield;
      if (rows.ruledOut(0)) continue;
      const { constant, unit }: Aim = this.#aimAt(row, sign, load);
      const far: End | null = best ?? than;
      const worth: number = far ? (sign * (far.signal - constant)) / unit : Infinity;
      const doses: Doses | null = yield* this.#solved(rows, worth);
      yield;
      if (!doses) continue;
      const signal = signalAt(this.#problem, row, doses, load);
      if (!far || sign * signal < sign * far.signal) best = { signal, doses };
    }
    return best;
  }

  #rowsAt(load: GramsPerLitre, sides: number): RowsAtLoad {
    const key = `${load}/${sides}`;
    let rows = this.#grid.get(key);
    if (!rows)
      this.#grid.set(key, (rows = new RowsAtLoad(this.#free, load, sides, [], this.#everywhere)));
    return rows;
  }

  /** Sets the cost to the signal of an axis, largest coefficient 1. */
  #aimAt(row: AxisRow, sign: 1 | -1, load: GramsPerLitre): Aim {
    const cost = this.#cost;
    const constant = writeSignal(this.#problem, row, load, cost);
    const unit = cost.reduce((a, b) => Math.max(a, b), 0) || 1;
    for (let j = 0; j < cost.length; j += 1) cost[j]! *= sign / unit;
    return { constant, unit };
  }

  *#solved(rows: RowsAtLoad, worth: number): Resting<Doses | null> {
    const free = this.#free;
    for (;;) {
      const bounded = rows.bounded(free, 0);
      const found = yield* this.#program.least(this.#cost, bounded, rows.upper, worth);
      if (!found) return null;
      const columns: number[] = [];
      const doses: GramsPerLitre[] = [];
      found.values.forEach((dose, k) => {
        if (dose <= ZERO_DOSE) return;
        columns.push(found.columns[k]!);
        doses.push(dose);
      });
      if (!rows.activateViolated(free, { columns, doses }, 0)) return { columns, doses };
      yield;
    }
  }
}

/** The problem of a brief's limits alone, in free doses. */
export function* statingFree(model: Model, brief: Brief): Resting<Outcome<BlendProblem>> {
  const limits = withoutCounts(brief.limits);
  delete limits.smallest_addition_g;
  delete limits.weigh_step_g;
  const target = Object.fromEntries(AXES.map((axis) => [axis, { at_least: 0 }]));
  return yield* stating(model, { ...brief, limits, target });
}

/**
 * The attainable range of every axis. Fails where nothing can be asked, the limits leave no blend at all, or it
 * is stopped.
 */
export function* reaching(
  base: Model,
  brief: Brief,
  { timeLimitMs, now }: Timing = {},
): Run<null, Outcome<AttainableRanges>> {
  const clock = new Clock(timeLimitMs, now);
  const part = rangesOf(modelFor(base, brief), brief);
  const found = yield* listening(clock, part, () => null, clock.deadline);
  return found ?? failure(STOPPED);
}

function* rangesOf(model: Model, brief: Brief): Resting<Outcome<AttainableRanges>> {
  const stated = yield* statingFree(model, brief);
  if (!stated.ok) return stated;
  const problem = stated.value;
  const axes = new RangeSolver(problem);
  yield;
  const reach: Partial<Record<AxisId, AttainableRange>> = {};
  for (const row of problem.axes) {
    const least = yield* axes.end(row, 1);
    const most = least && (yield* axes.end(row, -1));
    if (!least || !most) return yield* refusing(problem);
    const intensity = ({ signal }: Pick<End, 'signal'>) =>
      Math.min(INTENSITY_MAX, intensityOf(signal, problem.values));
    const unhopped = intensity({ signal: signalAt(problem, row, NO_DOSES, 0) });
    reach[row.axis] = { least: intensity(least), most: intensity(most), unhopped };
  }
  return success(reach as AttainableRanges);
}
