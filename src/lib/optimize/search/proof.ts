// What a search has proven when it ends, early or late, in the words of the answers.
import type { Proof } from '#shared/answers/answer.ts';
import type { Incumbent } from './incumbent.ts';

/** Gap counted as proven where the worst miss is minimised, in intensity: far below any palate. */
export const PROVEN_SLACK = 5e-3;
/** For small misses the gap is a share of the miss instead, but never below this. */
const PROVEN_SLACK_SHARE = 0.05;
const PROVEN_SLACK_LEAST = 2e-4;

/** Gap counted as proven at a miss, in intensity; `coarse`: the same at any. */
export function provenSlackAt(miss: number, coarse: boolean): number {
  if (coarse) return PROVEN_SLACK;
  return Math.min(PROVEN_SLACK, Math.max(PROVEN_SLACK_LEAST, PROVEN_SLACK_SHARE * miss));
}

/** Share of a figure that is not proven, 0 to 1. */
export function gapOf(figure: number, bound: number): number {
  return figure > 0 ? Math.min(1, Math.max(0, (figure - bound) / figure)) : 0;
}

/** The part of a search, or of several, that a proof is drawn from. */
export interface ProofBasis {
  readonly incumbent: Incumbent;
  readonly bound: number;
  /** Gap that counts as proven. */
  readonly tolerance: number;
}

/** @param base what kept additions bring to the figure. */
export function proofOf({ incumbent, bound, tolerance }: ProofBasis, base: number): Proof {
  const proven = incumbent.merit - bound <= tolerance * (1 + 1e-9) + 1e-12;
  return {
    status: proven ? 'optimal' : 'within_gap',
    lower_bound: base + bound,
    gap: gapOf(base + incumbent.merit, base + bound),
  };
}
