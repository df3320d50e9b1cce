// The draws by which a blend is chosen, and others that confirm it, of every column of a problem. They are made
// once and serve every share of lots that is asked for.
import type { Sampling } from '#engine/doubt/sampling.ts';
import type { Model } from '#engine/tables/model.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { loadOf } from '#optimize/problem/evaluation.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { DrawnLots } from './drawn-lots.ts';
import { Ratios } from './guarded.ts';

/** Draws the blend is chosen by. */
export const CHANCE_SAMPLING: Sampling = { samples: 200, seed: 41 };

/**
 * Other draws that confirm a blend before it is taken: where a wish is narrow, the draws it was chosen by
 * promise too much.
 */
export const CONFIRMING: Sampling = { samples: 600, seed: 1291 };

/** Columns drawn between two rests. */
const DRAWN_AT_ONCE = 4;

export class ChanceDraws {
  readonly chosenBy: DrawnLots;
  readonly confirming: DrawnLots | null;
  #ratios: Ratios | null = null;

  /** @param confirming draws that confirm a blend before it is taken; `null`: none are asked. */
  constructor(
    model: Model,
    brief: Brief,
    readonly problem: BlendProblem,
    sampling: Sampling = CHANCE_SAMPLING,
    confirming: Sampling | null = CONFIRMING,
  ) {
    this.chosenBy = new DrawnLots(model, brief, problem, sampling);
    this.confirming = confirming && new DrawnLots(model, brief, problem, confirming);
  }

  /**
   * Makes the draws by which blends are chosen, of all columns; those that confirm come as they are needed.
   * @param near blend at whose load worse lots are held against the middle one, by the first who asks.
   */
  *made(near: Doses): Resting<Ratios> {
    if (this.#ratios) return this.#ratios;
    const { problem, chosenBy } = this;
    const all = [...problem.columns.keys()];
    for (let from = 0; from < all.length; from += DRAWN_AT_ONCE) {
      chosenBy.bring(all.slice(from, from + DRAWN_AT_ONCE));
      yield;
    }
    const ratios = new Ratios(problem, chosenBy);
    yield* ratios.at(loadOf(problem, near));
    this.#ratios = ratios;
    return ratios;
  }
}
