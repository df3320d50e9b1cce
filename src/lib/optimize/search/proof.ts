// What a search has proven when it ends, early or late, in the words of the answers.
import type { Proof } from '#shared/answers/answer.ts';
import type { Incumbent } from './search.ts';

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
