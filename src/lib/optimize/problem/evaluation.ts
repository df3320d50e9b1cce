// What a blend really is under the problem's own equations, at its own dry-hop load: signals,
// bitterness, objective, and how far it is from wishes and limits. No relaxation enters here.
import { FORMS } from '#shared/ids.ts';
import type { GramsPerLitre } from '#shared/units.ts';
import { intensityOf } from '#engine/predict/smell.ts';
import { shareAtLoad } from '#engine/process/load-law.ts';
import { ibuAt } from './bitterness.ts';
import { sumOver, type Doses } from './doses.ts';
import { limitsAgainst } from './limits.ts';
import { packagesIn } from './packages.ts';
import { leastOf, type AxisRow, type BlendProblem, type LinearLimit } from './problem.ts';
import { bitterWindow, IBU_PER_INTENSITY, windowsOf } from './windows.ts';

/** Relative tolerance of every check: rounding of sums, nothing more. */
export const TOLERANCE = 1e-7;

/** Dry-hop load of the doses, g/L; fixed additions do not count. */
export function loadOf(problem: BlendProblem, doses: Doses): GramsPerLitre {
  return sumOver(problem.dry, doses);
}

/** Objective of the doses, in g, money or g of leaf for the whole batch; fixed additions do not count. */
export function objectiveOf(problem: BlendProblem, doses: Doses): number {
  return sumOver(problem.objective, doses);
}

/** Signal of an axis that the doses give at a load, g/L, with what malt and fixed additions bring. */
export function signalAt(
  problem: BlendProblem,
  row: AxisRow,
  doses: Doses,
  load: GramsPerLitre,
): number {
  let signal = row.base + sumOver(row.direct, doses);
  for (let g = 0; g < row.damped.length; g += 1) {
    const before = row.dampedBase[g]! + sumOver(row.damped[g]!, doses);
    if (before !== 0) signal += before * shareAtLoad(load, problem.halfLoads[g]!);
  }
  return signal;
}

/**
 * The signal of an axis at a load as a linear function of the doses: writes its coefficients, returns
 * its constant.
 */
export function writeSignal(
  { halfLoads }: Pick<BlendProblem, 'halfLoads'>,
  { base, direct, damped, dampedBase }: AxisRow,
  load: GramsPerLitre,
  coef: Float64Array,
): number {
  coef.set(direct);
  let constant = base;
  damped.forEach((vector, g) => {
    const factor = shareAtLoad(load, halfLoads[g]!);
    constant += factor * dampedBase[g]!;
    for (let j = 0; j < vector.length; j += 1) coef[j]! += factor * vector[j]!;
  });
  return constant;
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
    const { low, high } = bitterWindow(problem.bitter, 0);
    const ibu = ibuAt(problem, doses, load);
    worst = Math.max(worst, (low - ibu) / IBU_PER_INTENSITY, (ibu - high) / IBU_PER_INTENSITY);
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
    const { low, high } = bitterWindow(bitter, slack);
    worst = Math.max(worst, outside(ibuAt(problem, doses, load), low, high, 1));
  }
  return worst;
}

/** How far a figure is outside a window, as a share of the bound it breaks or of `smallest`. */
function outside(got: number, low: number, high: number, smallest: number): number {
  if (got < low) return (low - got) / Math.max(smallest, low);
  return got > high ? (got - high) / Math.max(smallest, high) : 0;
}

/** How far a limit is overdrawn, relative to its size and to what is weighed against it; else <= 0. */
export function excess(limit: LinearLimit, { columns, doses }: Doses): number {
  const { only, most } = limit;
  let sum = 0;
  let size = Math.abs(most);
  if (only) {
    for (let k = 0; k < columns.length; k += 1) {
      const part = (only.get(columns[k]!) ?? 0) * doses[k]!;
      sum += part;
      if (part < 0) size = Math.max(size, -part);
    }
    return (sum - most) / Math.max(size, 1e-5);
  }
  const { coef } = limit;
  for (let k = 0; k < columns.length; k += 1) {
    const part = coef[columns[k]!]! * doses[k]!;
    sum += part;
    // Where nothing is left of a limit, the sizes of its two sides set the tolerance.
    if (part < 0) size = Math.max(size, -part);
  }
  return (sum - most) / Math.max(size, 1e-5);
}

function isWhole(count: number): boolean {
  return Math.abs(count - Math.round(count)) <= 1e-6;
}

/** Whether there are no more forms of any hop, and no more additions, than there may be. */
function meetsCounts(problem: BlendProblem, doses: Doses): boolean {
  const { columns, formsPerHopAtMost, additionsAtMost } = problem;
  if (formsPerHopAtMost === Infinity && additionsAtMost === Infinity) return true;
  let additions = 0;
  const forms = new Map<number, number>();
  for (const j of doses.columns) {
    const { variety, form, stage } = columns[j]!;
    if (stage === null) continue;
    additions += 1;
    const before = forms.get(variety) ?? 0;
    const among = before | (1 << FORMS.indexOf(form));
    if (among === before) continue;
    forms.set(variety, among);
    if (bitsOf(among) > formsPerHopAtMost) return false;
  }
  return additions <= additionsAtMost;
}

function bitsOf(set: number): number {
  let count = 0;
  for (let left = set; left > 0; left >>= 1) count += left & 1;
  return count;
}

/** Whether all hard limits hold: stock, maxima, counts of hops, forms and additions, least doses, whole steps. */
export function meetsLimits(problem: BlendProblem, doses: Doses): boolean {
  const { columns, least, step } = problem;
  const totals = new Map<number, GramsPerLitre>();
  for (let k = 0; k < doses.columns.length; k += 1) {
    const column = columns[doses.columns[k]!]!;
    const dose = doses.doses[k]!;
    if (dose > column.most * (1 + TOLERANCE)) return false;
    if (column.stage === null) continue;
    if (dose < least * (1 - TOLERANCE)) return false;
    if (step > 0 && !isWhole(dose / step)) return false;
    totals.set(column.variety, (totals.get(column.variety) ?? 0) + dose);
  }
  for (const packages of packagesIn(problem, doses).values()) if (!isWhole(packages)) return false;
  if (totals.size > problem.hopsAtMost || !meetsCounts(problem, doses)) return false;
  for (const v of problem.required) {
    if ((totals.get(v) ?? 0) < leastOf(problem, v) * (1 - TOLERANCE)) return false;
  }
  return limitsAgainst(problem, doses.columns).every((limit) => excess(limit, doses) <= TOLERANCE);
}
