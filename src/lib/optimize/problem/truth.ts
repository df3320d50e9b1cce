// What a blend really is under the problem's own equations, at its own dry-hop load: signals,
// bitterness, objective, and how far it is from wishes and limits. No relaxation enters here.
import { intensityOf, signalOf } from '#engine/predict/smell.ts';
import { limitsAgainst } from './limits.ts';
import { packagesIn } from './packages.ts';
import {
  leastOf,
  type AxisRow,
  type BitterRow,
  type BlendProblem,
  type LinearLimit,
} from './problem.ts';

/** Doses of the uses that are not zero, g/L. */
export interface Doses {
  readonly uses: readonly number[];
  readonly doses: readonly number[];
}

/** No hops at all. */
export const NO_DOSES: Doses = { uses: [], doses: [] };

/** IBU by which the bitterness window widens per intensity by which the wishes do. A judgement. */
export const IBU_PER_INTENSITY = 5;

/** IBU by which a bitterness window widens where the wishes do by `slack` intensities. */
export function ibuRoom({ held }: BitterRow, slack: number): number {
  return held ? 0 : IBU_PER_INTENSITY * slack;
}

/** Relative tolerance of every check: rounding of sums, nothing more. */
export const TOLERANCE = 1e-7;

function dot(vector: Float64Array, { uses, doses }: Doses): number {
  let sum = 0;
  for (let k = 0; k < uses.length; k += 1) sum += vector[uses[k]!]! * doses[k]!;
  return sum;
}

/** Dry-hop load of the doses, g/L; kept additions do not count. */
export function loadOf(problem: BlendProblem, doses: Doses): number {
  return dot(problem.dry, doses);
}

export function objectiveOf(problem: BlendProblem, doses: Doses): number {
  return dot(problem.objective, doses);
}

export function signalAt(problem: BlendProblem, row: AxisRow, doses: Doses, load: number): number {
  let signal = row.base + dot(row.direct, doses);
  for (let g = 0; g < row.damped.length; g += 1) {
    const before = row.dampedBase[g]! + dot(row.damped[g]!, doses);
    if (before !== 0) signal += before / (1 + load / problem.halfLoads[g]!);
  }
  return signal;
}

export function ibuAt(problem: BlendProblem, doses: Doses, load: number): number {
  const { bitter } = problem;
  if (!bitter) return 0;
  const kept = Math.exp(-bitter.adsorption * load);
  let ibu = bitter.base + dot(bitter.plain, doses);
  for (const term of bitter.terms) {
    const part = term.weight * (term.base + Math.min(dot(term.alpha, doses), term.cap));
    ibu += term.adsorbed ? kept * part : part;
  }
  return ibu;
}

/** Signals an axis must lie between when wishes are widened by `slack` intensities. */
export function signalWindow(
  problem: BlendProblem,
  { low, high, held }: AxisRow,
  slack: number,
): { low: number; high: number } {
  const { values } = problem;
  const widened = held ? 0 : slack;
  return {
    low: low - widened <= 0 ? -Infinity : signalOf(low - widened, values),
    high: high + widened === Infinity ? Infinity : signalOf(Math.max(0, high + widened), values),
  };
}

interface Windows {
  readonly slack: number;
  readonly windows: readonly { low: number; high: number }[];
}

const lastWindows = new WeakMap<BlendProblem, Windows>();

/** The windows of all axes; those of the last slack asked for are at hand. */
export function windowsOf(problem: BlendProblem, slack: number): Windows['windows'] {
  let last = lastWindows.get(problem);
  if (last?.slack !== slack) {
    last = { slack, windows: problem.axes.map((row) => signalWindow(problem, row, slack)) };
    lastWindows.set(problem, last);
  }
  return last.windows;
}

/**
 * Largest miss over axes and bitterness that are not held, in intensity (5 IBU count as 1); 0 when
 * all are met.
 */
export function worstMiss(problem: BlendProblem, doses: Doses): number {
  const load = loadOf(problem, doses);
  let worst = 0;
  for (const row of problem.axes) {
    if (row.held) continue;
    const intensity = intensityOf(signalAt(problem, row, doses, load), problem.values);
    worst = Math.max(worst, row.low - intensity, intensity - row.high);
  }
  if (problem.bitter && !problem.bitter.held) {
    const { atLeast = -Infinity, atMost = Infinity } = problem.bitter;
    const ibu = ibuAt(problem, doses, load);
    worst = Math.max(
      worst,
      (atLeast - ibu) / IBU_PER_INTENSITY,
      (ibu - atMost) / IBU_PER_INTENSITY,
    );
  }
  return worst;
}

/**
 * Largest relative overshoot of the wishes widened by `slack`, as a share of the bound's signal;
 * 0 when all hold. With a slack of infinity only held windows count.
 */
export function overshoot(problem: BlendProblem, doses: Doses, slack: number): number {
  const { axes, bitter } = problem;
  if (slack === Infinity && !bitter?.held && !axes.some((row) => row.held)) return 0;
  const load = loadOf(problem, doses);
  const windows = windowsOf(problem, slack);
  let worst = 0;
  for (let i = 0; i < windows.length; i += 1) {
    const got = signalAt(problem, axes[i]!, doses, load);
    worst = Math.max(worst, outside(got, windows[i]!.low, windows[i]!.high, 1e-3));
  }
  if (bitter) {
    const { atLeast = -Infinity, atMost = Infinity } = bitter;
    const widened = ibuRoom(bitter, slack);
    const ibu = ibuAt(problem, doses, load);
    worst = Math.max(worst, outside(ibu, atLeast - widened, atMost + widened, 1));
  }
  return worst;
}

/** How far a figure is outside a window, as a share of the bound it breaks or of `smallest`. */
function outside(got: number, low: number, high: number, smallest: number): number {
  if (got < low) return (low - got) / Math.max(smallest, low);
  return got > high ? (got - high) / Math.max(smallest, high) : 0;
}

/** How far a limit is overdrawn, relative to its size and to what is weighed against it; else <= 0. */
export function excess(limit: LinearLimit, { uses, doses }: Doses): number {
  const { only, most } = limit;
  let sum = 0;
  let size = Math.abs(most);
  if (only) {
    for (let k = 0; k < uses.length; k += 1) {
      const part = (only.get(uses[k]!) ?? 0) * doses[k]!;
      sum += part;
      if (part < 0) size = Math.max(size, -part);
    }
    return (sum - most) / Math.max(size, 1e-5);
  }
  const { coef } = limit;
  for (let k = 0; k < uses.length; k += 1) {
    const part = coef[uses[k]!]! * doses[k]!;
    sum += part;
    // Where nothing is left of a limit, the sums on its two sides say what rounding is.
    if (part < 0) size = Math.max(size, -part);
  }
  return (sum - most) / Math.max(size, 1e-5);
}

function isWhole(count: number): boolean {
  return Math.abs(count - Math.round(count)) <= 1e-6;
}

/** Whether all hard limits hold: stock, maxima, count of hops, least doses, whole steps. */
export function meetsLimits(problem: BlendProblem, doses: Doses): boolean {
  const { uses, least, step } = problem;
  const totals = new Map<number, number>();
  for (let k = 0; k < doses.uses.length; k += 1) {
    const use = uses[doses.uses[k]!]!;
    const dose = doses.doses[k]!;
    if (dose > use.most * (1 + TOLERANCE)) return false;
    if (use.stage === 'unused') continue;
    if (dose < least * (1 - TOLERANCE)) return false;
    if (step > 0 && !isWhole(dose / step)) return false;
    totals.set(use.variety, (totals.get(use.variety) ?? 0) + dose);
  }
  for (const packages of packagesIn(problem, doses).values()) if (!isWhole(packages)) return false;
  if (totals.size > problem.hopsAtMost) return false;
  for (const v of problem.required) {
    if ((totals.get(v) ?? 0) < leastOf(problem, v) * (1 - TOLERANCE)) return false;
  }
  return limitsAgainst(problem, doses.uses).every((limit) => excess(limit, doses) <= TOLERANCE);
}
