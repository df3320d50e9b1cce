// A stated estimator: what a hop figure is taken to be when nobody gave it, and from what.
// Used by the data build for the varieties of the table and by the engine for a lot that is known
// by its own analysis only, so that both fill the same gaps alike.
import type { AnalyteId } from '#shared/ids.ts';
import type { Interval } from '#shared/interval.ts';
import type { Cell } from '#shared/schemas/tables.ts';

/** Figures of a hop from which others can be estimated, for type 90 pellets or cones. */
export const PREDICTORS = [
  'alpha_pct',
  'cohumulone_pct_of_alpha',
  'total_oil_ml_per_100g',
  'myrcene_pct_of_oil',
  'humulene_pct_of_oil',
  'caryophyllene_pct_of_oil',
  'farnesene_pct_of_oil',
] as const satisfies readonly AnalyteId[];
export type Predictor = (typeof PREDICTORS)[number];

/** Below it a figure counts as "next to none": a logarithm needs an end, and laboratories have one. */
const FLOORS: Readonly<Partial<Record<AnalyteId, number>>> = {
  humulene_pct_of_oil: 0.5,
  farnesene_pct_of_oil: 0.05,
};
const FLOOR = 0.02;

/** Natural logarithm of a figure in its own unit, not below that of "next to none". */
export function flooredLog(analyte: AnalyteId, figure: number): number {
  return Math.log(Math.max(figure, FLOORS[analyte] ?? FLOOR));
}

/** How an estimate moves with another figure: (figure / reference) to the power. */
export interface Leaning {
  readonly on: Predictor;
  readonly reference: number;
  readonly power: number;
}

/** A range in the unit of the analyte, or factors on another analyte (`times`). */
export interface Estimator extends Interval {
  readonly id: string;
  readonly analyte: AnalyteId;
  /** `all`, `europe` or `elsewhere` (where the variety was bred), or names of varieties. */
  readonly appliesTo: string;
  readonly times?: AnalyteId | undefined;
  /** Regression: the range above is that of a hop whose figures are all the reference. */
  readonly leanings?: readonly Leaning[] | undefined;
  /** Least and greatest centre a regression may give: those of the varieties behind it. */
  readonly within?: readonly [least: number, greatest: number] | undefined;
  readonly sources: readonly string[];
  /** How many varieties or samples stand behind it; 0 for a stated range. */
  readonly count: number;
}

/** A regression is used only if at most so many of its figures are missing. */
const MISSING_AT_MOST = 2;

const ONE: Interval = { low: 1, central: 1, high: 1 };

/**
 * The estimated cell from given figures, or `undefined` where the figure it multiplies, or too many of those of its
 * regression, are missing. `known` must hold no estimates, and figures of type 90.
 */
export function estimatedCell(
  estimator: Estimator,
  known: Readonly<Partial<Record<AnalyteId, Interval>>>,
): Cell | undefined {
  const base = estimator.times === undefined ? ONE : known[estimator.times];
  const factor = leaningFactor(estimator, known);
  if (base === undefined || factor === undefined) return undefined;
  return {
    low: estimator.low * base.low * factor,
    central: estimator.central * base.central * factor,
    high: estimator.high * base.high * factor,
    status: 'estimated',
    sources: [...estimator.sources],
    estimate: estimator.id,
  };
}

/** The estimate of a regression from the figures given; a missing one counts as its reference. */
function leaningFactor(
  { leanings, within, central }: Estimator,
  known: Readonly<Partial<Record<AnalyteId, Interval>>>,
): number | undefined {
  if (leanings === undefined) return 1;
  let missing = 0;
  let log = 0;
  for (const { on, reference, power } of leanings) {
    const figure = known[on]?.central;
    if (figure === undefined) missing += 1;
    else log += power * (flooredLog(on, figure) - Math.log(reference));
  }
  if (missing > MISSING_AT_MOST) return undefined;
  const [least, greatest] = within ?? [0, Infinity];
  return Math.min(greatest, Math.max(least, central * Math.exp(log))) / central;
}
