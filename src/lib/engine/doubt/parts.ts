// Work done in parts of a few milliseconds, so that the caller can stop it between two parts.

/** Work that yields, without a value, every few milliseconds and returns its result at the end. */
export type Parts<Result> = Generator<undefined, Result>;

/** Multiplications in one part: they take about a millisecond. */
export const MULTIPLICATIONS_PER_PART = 1_000_000;

/** Runs all parts without a break. */
export function atOnce<Result>(work: Parts<Result>): Result {
  let step = work.next();
  while (!step.done) step = work.next();
  return step.value;
}
