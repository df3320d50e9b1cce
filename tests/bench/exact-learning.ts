// What the best learner there can be would say of new beers: the middle of the exact posterior, drawn by
// elliptical slice sampling (Murray, Adams & MacKay 2010) from the priors the brewers were drawn from, with
// the noise of their tasters known. No estimate has a smaller expected error, so what is left is chance.
import { median } from 'simple-statistics';
import { AXES } from '#shared/ids.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { BatchModel, type Tasted } from '#engine/learning/evidence.ts';
import { BIAS_SD, tasterKey } from '#engine/learning/fit.ts';
import { scoreFit } from '#engine/learning/likelihood.ts';
import { Unknowns } from '#engine/learning/unknowns.ts';
import type { Design } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';

/** Draws at the beginning that are thrown away, and every how manieth is looked at after it. */
const BURN_IN = 500;
const EVERY = 5;

/**
 * By new beer and axis, the middle of what the evidence leaves possible.
 * @param designs of the new beers, their hops of the deliveries that were tasted.
 */
export function exactMiddles(
  batches: readonly Tasted[],
  designs: readonly Design[],
  draws: number,
  seed: number,
): number[][] {
  const unknowns = new Unknowns(model);
  const tasted = batches.map((of) => new BatchModel(model, of, unknowns));
  const beers = designs.map((design, i) => {
    const deliveries = design.additions.map(({ lot }) => lot.hop);
    return new BatchModel(
      model,
      { id: `new ${i}`, design, deliveries, scores: [], lab: [] },
      unknowns,
    );
  });
  for (const { scores } of batches) for (const s of scores) unknowns.place(tasterKey(s.taster));
  const random = randomFrom(seed / 1000);
  const prior = () => Float64Array.from({ length: unknowns.count }, () => random.normal());
  const costAt = (at: Float64Array) => {
    let cost = 0;
    for (const batch of tasted) {
      batch.at(at);
      for (const { taster, axis, score } of batch.of.scores) {
        const said = batch.value({ axis }) + BIAS_SD * at[unknowns.place(tasterKey(taster))]!;
        cost += scoreFit(score, said, 1, 1).cost;
      }
    }
    return cost;
  };
  let at = prior();
  let cost = costAt(at);
  const seen = beers.map(() => AXES.map((): number[] => []));
  for (let draw = 0; draw < BURN_IN + draws * EVERY; draw += 1) {
    const other = prior();
    const most = cost - Math.log(random.uniform());
    let angle = 2 * Math.PI * random.uniform();
    let [from, to] = [angle - 2 * Math.PI, angle];
    for (;;) {
      const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
      const trial = at.map((score, u) => cos * score + sin * other[u]!);
      const trialCost = costAt(trial);
      if (trialCost <= most) {
        [at, cost] = [trial, trialCost];
        break;
      }
      if (angle < 0) from = angle;
      else to = angle;
      angle = from + (to - from) * random.uniform();
    }
    if (draw < BURN_IN || draw % EVERY > 0) continue;
    beers.forEach((beer, i) => {
      beer.at(at);
      AXES.forEach((axis, a) => seen[i]![a]!.push(beer.value({ axis })));
    });
  }
  return seen.map((axes) => axes.map((values) => median(values)));
}
