// In how many drawn lots a blend meets every wish and the bitterness window, counted draw by draw at the
// blend's own load. Nothing is relaxed here. The search judges its blends by this; the engine
// judges them once more before they are shown.
import type { GramsPerLitre } from '#shared/units.ts';
import type { WishSubject } from '#shared/answers/wish-subject.ts';
import { intensityOf } from '#engine/predict/smell.ts';
import { shareAtLoad } from '#engine/process/load-law.ts';
import { hotShare } from '#optimize/problem/bitterness.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { loadOf, TOLERANCE } from '#optimize/problem/evaluation.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import {
  bitterWindow,
  IBU_PER_INTENSITY,
  windowsOf,
  type Window,
} from '#optimize/problem/windows.ts';
import type { DrawnLots } from './drawn-lots.ts';

/** Signals and bitterness below which a miss is taken as a share of these. */
const SMALLEST_SIGNAL = 1e-3;
const SMALLEST_IBU = 1;

export interface Verdict {
  /** Draws in which all is met. */
  readonly held: number;
  /** Sum of the least misses of as many draws as are needed; 0 where enough hold. */
  readonly lacking: number;
}

/** How far a wish, or one side of the bitterness, is missed in each draw; `unit` of it count as one intensity. */
export interface MissedFigure {
  readonly of: WishSubject;
  readonly by: Float64Array;
  readonly unit: number;
}

export class DrawnJudge {
  readonly drawn: DrawnLots;
  /** Draws in which a blend is to hold. */
  readonly needed: number;
  /** After `judge`: the largest relative miss in each draw; 0 where all is met. */
  readonly misses: Float64Array;
  /** Work done, as an `Effort` counts it. */
  effort = 0;

  private readonly problem: BlendProblem;
  private readonly windows: readonly Window[];
  private readonly sum: Float64Array;
  private readonly other: Float64Array;
  private readonly sorted: Float64Array;

  constructor(problem: BlendProblem, drawn: DrawnLots, needed: number) {
    this.problem = problem;
    this.drawn = drawn;
    this.needed = needed;
    this.windows = windowsOf(problem, 0);
    this.misses = new Float64Array(drawn.count);
    this.sum = new Float64Array(drawn.count);
    this.other = new Float64Array(drawn.count);
    this.sorted = new Float64Array(drawn.count);
  }

  judge(doses: Doses): Verdict {
    const { misses, problem, needed } = this;
    this.begin(doses);
    const load = loadOf(problem, doses);
    this.windows.forEach(({ low, high }, a) => {
      this.signal(a, doses, load);
      this.compare(low, high, SMALLEST_SIGNAL);
    });
    this.compareBitterness(doses, load);
    const held = this.held();
    if (held >= needed) return { held, lacking: 0 };
    const { sorted } = this;
    sorted.set(misses);
    sorted.sort();
    let lacking = 0;
    for (let k = 0; k < needed; k += 1) lacking += sorted[k]!;
    return { held, lacking };
  }

  /** Whether a blend holds in enough draws; gives up as soon as it is missed in too many. */
  holds(doses: Doses): boolean {
    const { problem } = this;
    this.begin(doses);
    const load = loadOf(problem, doses);
    this.compareBitterness(doses, load);
    if (this.held() < this.needed) return false;
    for (let a = 0; a < this.windows.length; a += 1) {
      const { low, high } = this.windows[a]!;
      this.signal(a, doses, load);
      this.compare(low, high, SMALLEST_SIGNAL);
      if (this.held() < this.needed) return false;
    }
    return true;
  }

  /** The largest relative miss of the bitterness window in each draw; 0 where it is met. */
  bitterMisses(doses: Doses): Float64Array {
    this.misses.fill(0);
    this.compareBitterness(doses, loadOf(this.problem, doses));
    return this.misses.slice();
  }

  /** By wish, then least and most bitterness: how far it is missed in each draw, in intensity or IBU. */
  missedFigures(doses: Doses): MissedFigure[] {
    const { problem, sum } = this;
    const { axes, bitter, values } = problem;
    const load = loadOf(problem, doses);
    const missed = axes.map(({ axis, low, high }, a): MissedFigure => {
      this.signal(a, doses, load);
      const miss = (signal: number) => {
        const intensity = intensityOf(signal, values);
        return Math.max(low - intensity, intensity - high, 0);
      };
      return { of: { kind: 'axis', axis }, by: sum.map(miss), unit: 1 };
    });
    if (!bitter) return missed;
    this.ibu(doses, load);
    const { low, high } = bitterWindow(bitter, 0);
    const bitterness = (limit: 'ibu_at_least' | 'ibu_at_most', miss: (ibu: number) => number) => {
      const by = sum.map((ibu) => Math.max(0, miss(ibu)));
      missed.push({ of: { kind: 'limit', limit }, by, unit: IBU_PER_INTENSITY });
    };
    bitterness('ibu_at_least', (ibu) => low - ibu);
    bitterness('ibu_at_most', (ibu) => ibu - high);
    return missed;
  }

  private begin({ columns }: Doses): void {
    const { misses, windows } = this;
    this.effort += (columns.length + 2) * windows.length * misses.length;
    misses.fill(0);
  }

  /** Draws in which nothing is missed so far. */
  private held(): number {
    const { misses } = this;
    let held = 0;
    for (let k = 0; k < misses.length; k += 1) if (misses[k]! <= TOLERANCE) held += 1;
    return held;
  }

  /** By wish of the problem, low side and high side, then bitterness: draws in which it is missed. */
  missedBy(doses: Doses): number[] {
    const { problem } = this;
    const load = loadOf(problem, doses);
    const count = (low: number, high: number) => {
      let [under, over] = [0, 0];
      for (const value of this.sum) {
        if (value < low * (1 - TOLERANCE)) under += 1;
        else if (value > high * (1 + TOLERANCE)) over += 1;
      }
      return [under, over];
    };
    const missed = this.windows.flatMap(({ low, high }, a) => {
      this.signal(a, doses, load);
      return count(low, high);
    });
    if (!problem.bitter) return missed;
    const { low, high } = bitterWindow(problem.bitter, 0);
    this.ibu(doses, load);
    return [...missed, ...count(low, high)];
  }

  /** Writes the signal of an axis in every draw. */
  private signal(a: number, { columns, doses }: Doses, load: GramsPerLitre): void {
    const { sum, problem, drawn } = this;
    const { base, dampedBase } = drawn.bases;
    sum.set(base[a]!);
    const { halfLoads } = problem;
    const keeps = problem.fixed.additions.length > 0;
    for (let g = 0; g < halfLoads.length; g += 1) {
      const left = shareAtLoad(load, halfLoads[g]!);
      if (keeps) addTo(sum, left, dampedBase[a]![g]!);
      for (let k = 0; k < columns.length; k += 1) {
        const values = drawn.column(columns[k]!).damped[a]![g];
        if (values) addTo(sum, left * doses[k]!, values);
      }
    }
    for (let k = 0; k < columns.length; k += 1) {
      const values = drawn.column(columns[k]!).direct[a];
      if (values) addTo(sum, doses[k]!, values);
    }
  }

  /** Writes the bitterness in every draw. */
  private ibu({ columns, doses }: Doses, load: GramsPerLitre): void {
    const { sum, other, drawn } = this;
    const bitter = this.problem.bitter!;
    const hot = hotShare(bitter, load);
    const { alpha, plain } = drawn.bases;
    sum.set(plain);
    for (let k = 0; k < columns.length; k += 1) {
      const values = drawn.column(columns[k]!).plain;
      if (values) addTo(sum, doses[k]!, values);
    }
    bitter.terms.forEach((term, i) => {
      other.set(alpha[i]!);
      for (let k = 0; k < columns.length; k += 1) {
        const values = term.alpha[columns[k]!]! > 0 ? drawn.column(columns[k]!).alpha : null;
        if (values) addTo(other, doses[k]!, values);
      }
      const weight = term.adsorbed ? term.weight * hot : term.weight;
      const most = term.base + term.cap;
      for (let k = 0; k < sum.length; k += 1) sum[k]! += weight * Math.min(other[k]!, most);
    });
  }

  private compareBitterness(doses: Doses, load: GramsPerLitre): void {
    const { bitter } = this.problem;
    if (!bitter) return;
    const { low, high } = bitterWindow(bitter, 0);
    this.ibu(doses, load);
    this.compare(low, high, SMALLEST_IBU);
  }

  private compare(low: number, high: number, smallest: number): void {
    const { sum, misses } = this;
    if (low > -Infinity) {
      const scale = 1 / Math.max(smallest, low);
      for (let k = 0; k < sum.length; k += 1) {
        const miss = (low - sum[k]!) * scale;
        if (miss > misses[k]!) misses[k] = miss;
      }
    }
    if (high < Infinity) {
      const scale = 1 / Math.max(smallest, high);
      for (let k = 0; k < sum.length; k += 1) {
        const miss = (sum[k]! - high) * scale;
        if (miss > misses[k]!) misses[k] = miss;
      }
    }
  }
}

function addTo(sum: Float64Array, weight: number, values: Float64Array): void {
  for (let k = 0; k < sum.length; k += 1) sum[k]! += weight * values[k]!;
}
