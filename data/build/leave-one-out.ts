// How far each way of estimating is off: every variety that has the figure is left out in turn,
// estimated from the others, and compared. By that error the way is chosen and its range set.
import { median, quantile } from 'simple-statistics';
import type { EstimateError, MethodError } from '#shared/evidence/estimate-error.ts';
import type { AnalyteId } from '#shared/ids.ts';
import { rounded } from '#shared/tables/cells.ts';
import type { Witness } from './estimate-evidence.ts';
import { LEARN, METHODS, type Method } from './estimate-methods.ts';

/** With fewer varieties than this no way is chosen; nor where none of the figures was read. */
export const WITNESSES_AT_LEAST = 30;
/** Share of the varieties that may lie beyond either end of the stated range: it holds 90 %. */
const TAIL = 0.05;
/** Neighbours would need the whole table for every lot, so they must be clearly better. */
const CLEARLY_BETTER = 0.9;

/** Logarithm of estimate over truth, for each witness left out in turn. */
export function leftOut(method: Method, from: readonly Witness[]): number[] {
  return from.map((witness) => {
    const guess = LEARN[method](from.filter((other) => other !== witness));
    return guess === undefined ? NaN : guess(witness.given) - witness.target;
  });
}

const fold = (log: number) => Math.exp(Math.abs(log));

function methodError(
  method: Method,
  from: readonly Witness[],
  errors: number[],
): MethodError & { method: Method } {
  const folds = errors.map(fold);
  const ofRead = folds.filter((_, i) => from[i]!.read);
  return {
    method,
    medianFold: rounded(median(folds)),
    fold80: rounded(quantile(folds, 0.8)),
    medianFoldRead: ofRead.length === 0 ? null : rounded(median(ofRead)),
  };
}

/** Middle of the two errors reported, as a factor; the way with the least is chosen. */
export function typicalError({ medianFold, fold80 }: MethodError): number {
  return Math.sqrt(medianFold * fold80);
}

/**
 * Factors on an estimate that reach from the least to the greatest truth in nine of ten cases: order
 * statistics of the errors, with the place the estimated hop itself takes counted in.
 */
export function rangeFactors(errors: readonly number[]): { low: number; high: number } {
  const truths = errors.map((error) => -error).sort((a, b) => a - b);
  const tail = Math.max(1, Math.floor(TAIL * (truths.length + 1)));
  return {
    low: Math.exp(Math.min(0, truths[tail - 1]!)),
    high: Math.exp(Math.max(0, truths[truths.length - tail]!)),
  };
}

/** Share of the varieties whose figure lies in the range the errors of the others would give. */
export function coverage(errors: readonly number[]): number {
  const inside = errors.filter((error, i) => {
    const { low, high } = rangeFactors(errors.filter((_, j) => j !== i));
    return Math.log(low) <= -error && -error <= Math.log(high);
  });
  return inside.length / errors.length;
}

/** The way chosen for an analyte, with its errors. */
export interface ChosenMethod {
  readonly method: Method;
  readonly errors: readonly number[];
}

/** Whether there is enough to choose by. */
export function enough(from: readonly Witness[]): boolean {
  return from.length >= WITNESSES_AT_LEAST && from.some(({ read }) => read);
}

/** Tries every method on the witnesses and picks the one with the least error. */
export function choose(
  analyte: AnalyteId,
  from: readonly Witness[],
): { choice: ChosenMethod; report: EstimateError } {
  const tried = METHODS.map((method) => ({ method, errors: leftOut(method, from) })).filter(
    ({ errors }) => errors.every(Number.isFinite),
  );
  const compared = tried.map(({ method, errors }) => methodError(method, from, errors));
  const handicap = (error: MethodError) =>
    typicalError(error) / (error.method === 'neighbours' ? CLEARLY_BETTER : 1);
  const best = compared.reduce((a, b) => (handicap(b) < handicap(a) ? b : a));
  const { errors } = tried.find(({ method }) => method === best.method)!;
  return {
    choice: { method: best.method, errors },
    report: {
      ...{ analyte, method: best.method, n: from.length },
      nRead: from.filter(({ read }) => read).length,
      medianFold: best.medianFold,
      fold80: best.fold80,
      medianFoldRead: best.medianFoldRead,
      coverage90: rounded(coverage(errors)),
      compared,
      note: '',
    },
  };
}
