// Climbs to blends that hold in many scenarios at once, doses free. Whether a blend holds in a scenario
// is a jump; here it is a slope: the least margin of its wishes, smoothed, through a logistic curve
// that steepens on the way. Finds good blends to finish by moves, proves nothing.
import { lossPerLoad, shareAtLoad } from '#engine/process/load-law.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { dot } from '#optimize/lp/least-squares.ts';
import { hotShare, sideAt, termLine } from '#optimize/problem/bitterness.ts';
import { bitterWindow, signalWindow } from '#optimize/problem/windows.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';

/** Widths of the logistic curve on the way, as logarithms of margins. */
const WIDTHS = [0.4, 0.2, 0.1, 0.05];
/** Margin softened among the wishes of a scenario, as a share of that width. */
const SOFTNESS = 0.4;
/** Steps of a climb at each width, and their length in the logarithm of a dose. */
const STEPS = 30;
const STRIDE = 0.06;
/** Weight of a limit or central wish overdrawn by its whole size. */
const BREACH = 20;
/** Doses below this are none, g/L. */
const LEAST_DOSE = 1e-4;

/** What a climb is after, in terms of the share held and of the objective over that of the start. */
export type Aim =
  /** Holding in as many scenarios as possible. */
  | { readonly kind: 'most' }
  /** The least objective that holds in a share of scenarios. */
  | { readonly kind: 'enough'; readonly share: number };

/** Weight of the objective where the share is what counts, and of the share where it does not suffice. */
const OBJECTIVE_WEIGHT = 0.01;
const LACKING_WEIGHT = 20;

interface Windows {
  /** By axis: logarithms of the signals to lie between. */
  readonly low: readonly number[];
  readonly high: readonly number[];
}

export class Ascent {
  private readonly central: BlendProblem;
  private readonly scenarios: readonly BlendProblem[];
  private readonly windows: Windows;

  /** @param scenarios the problem in each world, in the same columns as `central`. */
  constructor(central: BlendProblem, scenarios: readonly BlendProblem[]) {
    this.central = central;
    this.scenarios = scenarios;
    const windows = central.axes.map((row) => signalWindow(central, row, 0));
    this.windows = {
      low: windows.map((w) => (w.low > 0 ? Math.log(w.low) : -Infinity)),
      high: windows.map((w) => Math.log(Math.max(w.high, 1e-9))),
    };
  }

  /**
   * Smoothed least margin of the wishes of one problem at doses x; adds `weightOf` it times its
   * gradient to `gradient`.
   */
  private margin(
    { axes, bitter, halfLoads, dry }: BlendProblem,
    x: Float64Array,
    softness: number,
    gradient: Float64Array,
    weightOf: (margin: number) => number,
  ): number {
    const load = dot(dry, x);
    const factors = halfLoads.map((h) => shareAtLoad(load, h));
    const losses = halfLoads.map((h) => lossPerLoad(load, h));
    const margins: number[] = [];
    const rows: { at: number; sign: number }[] = [];
    const take = (at: number, sign: number, margin: number) => {
      margins.push(margin);
      rows.push({ at, sign });
    };
    const sums = axes.map((row, a) => {
      const parts = row.damped.map((d, g) => row.dampedBase[g]! + dot(d, x));
      const sum = parts.reduce((s, p, g) => s + p * factors[g]!, row.base + dot(row.direct, x));
      const signal = Math.max(sum, 1e-9);
      const log = Math.log(signal);
      if (this.windows.low[a]! > -Infinity) take(a, 1, log - this.windows.low[a]!);
      if (this.windows.high[a]! < Infinity) take(a, -1, this.windows.high[a]! - log);
      return { parts, signal };
    });
    const hot = bitter ? hotShare(bitter, load) : 1;
    let ibu = 0;
    let adsorbed = 0;
    const slopes: number[] = [];
    if (bitter) {
      ibu = bitter.base + dot(bitter.plain, x);
      for (const term of bitter.terms) {
        const alpha = dot(term.alpha, x);
        const { constant, slope } = termLine(term, sideAt(term, alpha), hot);
        slopes.push(slope);
        const part = constant + slope * alpha;
        if (term.adsorbed) adsorbed += part;
        ibu += part;
      }
      ibu = Math.max(ibu, 1e-6);
      const { low, high } = bitterWindow(bitter, 0);
      if (low > 0) take(-1, 1, Math.log(ibu / low));
      if (high < Infinity) take(-1, -1, Math.log(Math.max(high, 1e-6) / ibu));
    }
    if (margins.length === 0) return Infinity;
    const least = Math.min(...margins);
    let total = 0;
    const weights = margins.map((m) => {
      const w = Math.exp((least - m) / softness);
      total += w;
      return w;
    });
    const margin = least - softness * Math.log(total);
    const weight = weightOf(margin);
    if (weight === 0) return margin;
    rows.forEach(({ at, sign }, r) => {
      const w = (weight * sign * weights[r]!) / total;
      if (Math.abs(w) < 1e-9) return;
      if (at >= 0) {
        const { parts, signal } = sums[at]!;
        const { direct, damped } = axes[at]!;
        const scale = w / signal;
        const slope = parts.reduce((s, p, g) => s - p * factors[g]! * losses[g]!, 0);
        for (let j = 0; j < x.length; j += 1) {
          let d = direct[j]! + slope * dry[j]!;
          for (let g = 0; g < damped.length; g += 1) d += factors[g]! * damped[g]![j]!;
          gradient[j]! += scale * d;
        }
        return;
      }
      const scale = w / ibu;
      const slope = -bitter!.adsorption * adsorbed;
      for (let j = 0; j < x.length; j += 1) {
        let d = bitter!.plain[j]! + slope * dry[j]!;
        bitter!.terms.forEach((term, i) => {
          d += slopes[i]! * term.alpha[j]!;
        });
        gradient[j]! += scale * d;
      }
    });
    return margin;
  }

  /** Smoothed share of scenarios held at doses x, with its gradient and that of breaches. */
  slope(x: Float64Array, width: number): Slope {
    return finished(this.sloping(x, width));
  }

  /** The same, a scenario at a time. */
  *sloping(x: Float64Array, width: number): Generator<undefined, Slope> {
    const { central, scenarios } = this;
    const share = new Float64Array(x.length);
    const breach = new Float64Array(x.length);
    const n = scenarios.length;
    let held = 0;
    const logistic = (m: number) => 1 / (1 + Math.exp(-m / width));
    for (const problem of scenarios) {
      yield;
      const margin = this.margin(problem, x, SOFTNESS * width, share, (m) => {
        const s = logistic(m);
        return (s * (1 - s)) / (width * n);
      });
      held += logistic(margin) / n;
    }
    let broken = 0;
    const tight = SOFTNESS * WIDTHS[WIDTHS.length - 1]!;
    const atCentral = this.margin(central, x, tight, breach, (m) => (m < 0 ? -1 : 0));
    broken += Math.max(0, -atCentral);
    for (const { coef, most } of central.limits) {
      const size = Math.max(Math.abs(most), 0.1);
      const over = (dot(coef, x) - most) / size;
      if (over <= 0) continue;
      broken += over;
      for (let j = 0; j < x.length; j += 1) breach[j]! += coef[j]! / size;
    }
    return { share: held, breach: broken, of: { share, breach } };
  }

  /**
   * The doses a climb ends at; those of 0 stay 0.
   * @param reference objective that counts as one.
   * @param from first of the widths gone through: 0 from afar, more where only little has changed.
   */
  *climb(
    start: Float64Array,
    aim: Aim,
    reference: number,
    stop: () => boolean,
    from = 0,
  ): Generator<undefined, Float64Array> {
    const { objective, columns } = this.central;
    const x = start.slice();
    const n = x.length;
    const mean = new Float64Array(n);
    const square = new Float64Array(n);
    let step = 0;
    for (const width of WIDTHS.slice(from)) {
      for (let i = 0; i < STEPS; i += 1) {
        yield;
        if (stop()) return x;
        step += 1;
        const { share, of } = this.slope(x, width);
        const [byShare, byObjective] = weightsOf(aim, share);
        const stride = (STRIDE * (1 - i / STEPS) + 0.005) * Math.sqrt(width / WIDTHS[0]!);
        for (let j = 0; j < n; j += 1) {
          if (x[j]! === 0) continue;
          const uphill =
            byShare * of.share[j]! -
            BREACH * of.breach[j]! -
            (byObjective * objective[j]!) / reference;
          // Adam (Kingma and Ba 2015) on the logarithms of doses.
          const g = uphill * x[j]!;
          mean[j] = 0.9 * mean[j]! + 0.1 * g;
          square[j] = 0.99 * square[j]! + 0.01 * g * g;
          const m = mean[j]! / (1 - 0.9 ** step);
          const v = Math.sqrt(square[j]! / (1 - 0.99 ** step));
          const to = x[j]! * Math.exp((stride * m) / (v + 1e-9));
          x[j] = Math.min(Math.max(to, LEAST_DOSE), columns[j]!.most);
        }
      }
    }
    return x;
  }
}

interface Slope {
  readonly share: number;
  readonly breach: number;
  readonly of: Slopes;
}

interface Slopes {
  readonly share: Float64Array;
  readonly breach: Float64Array;
}

function weightsOf(aim: Aim, share: number): [byShare: number, byObjective: number] {
  if (aim.kind === 'most') return [1, OBJECTIVE_WEIGHT];
  return [share < aim.share ? LACKING_WEIGHT : 0.2, 1];
}
