// The beer that hops hold back, as a part of what is minimised: where a litre of it has a price, a blend is
// the cheaper the less of it stays in the leaf.
import type { Brief } from '#shared/schemas/brief.ts';
import { processOf } from '#engine/process/process.ts';
import { valueOf } from '#engine/symbols/term.ts';
import type { Model } from '#engine/tables/model.ts';
import type { BlendProblem } from './problem.ts';

/**
 * The problem with the beer that each addition holds back counted into its objective, at a price per
 * litre; what the additions kept hold back is no part of it.
 */
export function withBeerPriced(
  model: Model,
  { batch, stages }: Brief,
  problem: BlendProblem,
  pricePerL: number,
): BlendProblem {
  const held = new Map(processOf(model, batch, stages).stages.map((s) => [s.use.key, s.loss]));
  const objective = problem.objective.map((paid, j) => {
    const { stage, form } = problem.columns[j]!;
    if (stage === null) return paid;
    const litresPerKg = valueOf(held.get(stage)!(form));
    return paid + pricePerL * (litresPerKg / 1000) * problem.beerL;
  });
  return { ...problem, objective };
}
