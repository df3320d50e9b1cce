// Work that goes by parts of a few milliseconds, so that whoever runs it can stop it between two of them.

/** Work that yields, without a value, every few milliseconds. */
export type Parts<Result> = Generator<undefined, Result>;

/** Multiplications between two rests: about a millisecond. */
export const PART = 1_000_000;

/** All parts, one after the other. */
export function atOnce<Result>(work: Parts<Result>): Result {
  let step = work.next();
  while (!step.done) step = work.next();
  return step.value;
}
