// How far the estimators of missing hop figures are off, as the data build found by leaving out one
// variety at a time. For the page and the README; no computation rests on it.
import type { AnalyteId } from '#shared/ids.ts';

/** Errors of one way of estimating, as factors of 1 or more. */
export interface MethodError {
  readonly method: string;
  readonly medianFold: number;
  /** Four of five estimates are nearer. */
  readonly fold80: number;
  /** Median over the varieties whose figure was read; `null` if there is none. */
  readonly medianFoldRead: number | null;
}

export interface EstimateError {
  readonly analyte: AnalyteId;
  /** The way chosen, or the method of estimates.csv where there is too little to choose by. */
  readonly method: string;
  /** Varieties with the figure, each plant once; `nRead` of them read, the others recalled. */
  readonly n: number;
  readonly nRead: number;
  /** `null` where there is too little to judge by; then `note` says so. */
  readonly medianFold: number | null;
  readonly fold80: number | null;
  readonly medianFoldRead: number | null;
  /** Share of the varieties inside the stated 90 % range when left out; `null` as above. */
  readonly coverage90: number | null;
  readonly compared: readonly MethodError[];
  readonly note: string;
}
