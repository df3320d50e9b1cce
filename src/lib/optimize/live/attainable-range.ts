// How far each axis can go alone: the least and the most of it that a blend under a brief's limits,
// stock, yeast and stages gives, whatever else the brief wishes. Doses are free: no count of hops, least
// addition or weighing step. At one dry-hop load the rows are exact, so each end is reached by doses
// that are at hand; the load is the best of a grid, found and not proven. The most ends at the end of
// the intensity scale, beyond which nothing can be wished for.
import { AXES, type AxisId } from '#shared/ids.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import { INTENSITY_MAX, type Brief } from '#shared/schemas/brief.ts';
import { withoutCounts } from '#shared/schemas/limit-counts.ts';
import type { GramsPerLitre } from '#shared/units.ts';
import { intensityOf } from '#engine/predict/smell.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import { refusal } from '#optimize/search/clash.ts';
import {
  Clock,
  listening,
  STOPPED,
  type Resting,
  type Run,
  type Timing,
} from '#optimize/pacing/clock.ts';
import { RowsAtLoad } from './load-rows.ts';
import type { AxisRow, BlendProblem } from '#optimize/problem/problem.ts';
import { Simplex } from '#optimize/lp/simplex.ts';
import { stating } from '#optimize/problem/stating.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { signalAt, writeSignal } from '#optimize/problem/evaluation.ts';

/** Intensities between which an axis can be put. */
export interface AttainableRange {
  readonly least: number;
  readonly most: number;
  /** Of the beer with no hops but those the brief keeps: what lies below comes without asking. */
  readonly unhopped: number;
}
export type AttainableRanges = Readonly<Record<AxisId, AttainableRange>>;
/** An end of an axis with doses that reach it. */
interface End {
  readonly signal: number;
  readonly doses: Doses;
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

/** The ends of single axes of one problem; warm from one to the next. */
export class Reaching {
  readonly #problem: BlendProblem;
  readonly #free: BlendProblem;
  readonly #simplex: Simplex;
  readonly #loads: readonly GramsPerLitre[];
  readonly #grid = new Map<string, RowsAtLoad>();

  /** @param problem with a row for every axis. */
  constructor(problem: BlendProblem) {
    this.#problem = problem;
    const axes = problem.axes.map((row) => ({ ...row, low: -Infinity, high: Infinity }));
    this.#free = { ...problem, axes };
    const most = Float64Array.from(problem.columns, (c) => c.most);
    const zero = new Float64Array(most.length);
    this.#simplex = new Simplex(zero, zero, most);
    this.#loads = [...new Set(LOADS.map((load) => Math.min(load, problem.loadMax)))];
  }

  /** One end of an axis; `null` where the limits leave no blend. @param sign 1 least, -1 most. */
  *end(row: AxisRow, sign: 1 | -1): Resting<End | null> {
    let best: (End & { at: number }) | null = null;
    const enough = () => {
      const far = best && intensityOf(best.signal, this.#problem.values);
      return sign < 0 && far !== null && far >= INTENSITY_MAX;
    };
    const loads = this.#loads;
    for (let at = 0; at < loads.length && !enough(); at += 1) {
      const found = yield* this.#at(row, sign, loads[at]!);
      if (found && (!best || sign * found.signal < sign * best.signal)) best = { ...found, at };
    }
    if (!best || enough()) return best;
    const { at } = best as { at: number };
    for (const next of [loads[at - 1], loads[at + 1]]) {
      for (let part = 1; next !== undefined && part < PARTS; part += 1) {
        const load = loads[at]! + ((next - loads[at]!) * part) / PARTS;
        const found = yield* this.#at(row, sign, load);
        if (found && sign * found.signal < sign * best.signal) best = { ...found, at };
      }
    }
    return best;
  }

  /** The end at one load, over every choice of sides of the caps of bitterness. */
  *#at(row: AxisRow, sign: 1 | -1, load: GramsPerLitre): Resting<End | null> {
    const { bitter } = this.#problem;
    const sides = bitter?.atMost === undefined ? 1 : 1 << bitter.terms.length;
    let best: End | null = null;
    for (let side = 0; side < sides; side += 1) {
      const rows = this.#rowsAt(load, side);
      yield;
      if (rows.ruledOut(0)) continue;
      this.#aimAt(row, sign, load);
      const doses = yield* this.#solved(rows);
      yield;
      if (!doses) continue;
      const signal = signalAt(this.#problem, row, doses, load);
      if (!best || sign * signal < sign * best.signal) best = { signal, doses };
    }
    return best;
  }

  #rowsAt(load: GramsPerLitre, sides: number): RowsAtLoad {
    const key = `${load}/${sides}`;
    let rows = this.#grid.get(key);
    if (!rows) this.#grid.set(key, (rows = new RowsAtLoad(this.#problem, load, sides)));
    return rows;
  }

  /** Sets the cost to the signal of an axis, largest coefficient 1. */
  #aimAt(row: AxisRow, sign: 1 | -1, load: GramsPerLitre): void {
    const { cost } = this.#simplex;
    writeSignal(this.#problem, row, load, cost);
    const largest = cost.reduce((a, b) => Math.max(a, b), 0) || 1;
    for (let j = 0; j < cost.length; j += 1) cost[j]! *= sign / largest;
  }

  *#solved(rows: RowsAtLoad): Resting<Doses | null> {
    const simplex = this.#simplex;
    simplex.upper.set(rows.upper);
    for (;;) {
      let status = simplex.solveSome(rows.bounded(this.#free, 0), rows.basis, Infinity);
      while (status === 'paused') {
        yield;
        status = simplex.goOnSolving(Infinity);
      }
      rows.basis = simplex.basis();
      if (status !== 'optimal') return null;
      const columns: number[] = [];
      const doses: GramsPerLitre[] = [];
      simplex.x.forEach((dose, j) => {
        if (j >= this.#problem.columns.length || dose <= ZERO_DOSE) return;
        columns.push(j);
        doses.push(dose);
      });
      if (!rows.activateViolated(this.#free, { columns, doses }, 0)) return { columns, doses };
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

/** The reach of every axis. Fails where nothing can be asked, the limits leave no blend at all, or it is stopped. */
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
  const axes = new Reaching(problem);
  const reach: Partial<Record<AxisId, AttainableRange>> = {};
  for (const row of problem.axes) {
    const least = yield* axes.end(row, 1);
    const most = least && (yield* axes.end(row, -1));
    if (!least || !most) return refusal(problem);
    const intensity = ({ signal }: Pick<End, 'signal'>) =>
      Math.min(INTENSITY_MAX, intensityOf(signal, problem.values));
    const unhopped = intensity({ signal: signalAt(problem, row, NO_DOSES, 0) });
    reach[row.axis] = { least: intensity(least), most: intensity(most), unhopped };
  }
  return success(reach as AttainableRanges);
}
