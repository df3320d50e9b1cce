// A stated estimator: what a hop figure is taken to be when nobody gave it, and from what.
// Used by the data build for the varieties of the table and by the engine for a lot that is known
// by its own analysis only, so that both fill the same gaps alike.
import type { AnalyteId } from './ids.ts';
import type { Interval } from './interval.ts';
import type { Cell } from './schemas/tables.ts';

/** A range in the unit of the analyte, or factors on another analyte (`times`). */
export interface Estimator extends Interval {
  readonly id: string;
  readonly analyte: AnalyteId;
  /** `all`, `europe` or `elsewhere` (where the variety was bred), or names of varieties. */
  readonly appliesTo: string;
  readonly times?: AnalyteId | undefined;
  readonly sources: readonly string[];
  /** How many varieties or samples stand behind it; 0 for a stated range. */
  readonly count: number;
}

const ONE: Interval = { low: 1, central: 1, high: 1 };

/** The estimated cell, or `undefined` where the figure it multiplies is itself missing. */
export function estimatedCell(
  estimator: Estimator,
  known: Readonly<Partial<Record<AnalyteId, Interval>>>,
): Cell | undefined {
  const base = estimator.times === undefined ? ONE : known[estimator.times];
  if (base === undefined) return undefined;
  return {
    low: estimator.low * base.low,
    central: estimator.central * base.central,
    high: estimator.high * base.high,
    status: 'estimated',
    sources: [...estimator.sources],
    estimate: estimator.id,
  };
}
