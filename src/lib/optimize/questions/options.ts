// How the rest of the product talks to the optimizer: what goes in, what streams out while it
// searches, what comes back. Knows no solver, no thread and no screen.
import type { BlendAddition } from '#shared/answers/answer.ts';
import type { Sampling } from '#engine/doubt/sampling.ts';
import type { Timing } from '#optimize/pacing/clock.ts';

/** Most blends of one answer. */
export const BLENDS_MAX = 5;

/** Hops that one intensity of miss is worth in a blend designed anew where nobody says it, g/L. A judgement. */
export const POINT_WORTH_G_PER_L = 2;

/** A snapshot of the search, streamed whenever the best blend or the bound improves. */
export interface DesignProgress {
  /** Best blend so far, already in whole weighing steps; `null` while none is known. */
  readonly best: readonly BlendAddition[] | null;
  /** Objective of the best blend, g, money or g of leaf; `null` while none is known. */
  readonly objective: number | null;
  /** Proven lower bound on the objective. */
  readonly lower_bound: number;
  /**
   * Largest miss of the closest blend so far, in intensity, while none is known that meets every wish; not there
   * while nothing is known at all, or where closeness itself is the objective.
   */
  readonly miss?: number;
  /** Fraction of the objective not yet proven, 0 to 1; 1 while no blend is known. */
  readonly gap: number;
  readonly milliseconds: number;
  /** Blends settled, where several are asked for; `best` is then the first of them. */
  readonly settled?: number;
}

export interface DesignOptions extends Timing {
  /** How the bands of the answer are drawn. */
  readonly band?: Sampling;
  /**
   * Blends wanted, 1 to 5: the best, then the best without its main hop, and so on. Half
   * of the time limit is then kept for the others.
   */
  readonly alternatives?: number;
  /** What a litre of beer is worth: what the hops hold back is then part of the cost that is minimised. */
  readonly beerPricePerL?: number;
  /** Keep windows to the letter that whole weighing steps can hardly hit, instead of widening them. */
  readonly exactWindows?: boolean;
  /**
   * Give the reasons: what each addition brings, what each wish costs, what clashes, and why each hop
   * of `whyNot` is not in the blend. A part of the time limit is kept for them.
   */
  readonly explain?: { readonly whyNot?: readonly string[] };
  /**
   * Put first the blend whose wishes hold in at least this share of lots, above 0 and up to 1, within
   * the same time.
   */
  readonly holdInShare?: number;
}
