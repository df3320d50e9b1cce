// Bands from joint sampling: a design is predicted in many drawn worlds, and each figure gets its 10 and 90 %
// points. What is drawn, and from which distribution, stands in sampling.ts and lot-sampling.ts.
import type { Band } from '#shared/answers/prediction.ts';
import type { Lot } from '#engine/lot/composition.ts';
import type { Model } from '#engine/tables/model.ts';
import { Newest } from '#engine/tables/newest.ts';
import { keyOf, reportedAxis } from '#engine/lot/figures.ts';
import type { Design } from '#engine/predict/design.ts';
import { compiledBeer, placed, type Figures } from '#engine/predict/predict.ts';
import { Evaluation, spread, type World } from '#engine/symbols/world.ts';
import { drawLot, lotNames, type LotDraws } from './lot-sampling.ts';
import type { Parts } from './parts.ts';
import { scienceOf, scienceValues, type Sampling, type Science } from './sampling.ts';

export const DEFAULT_SAMPLING: Sampling = { samples: 500, seed: 20 };

/** The lots of a design over all draws; additions of the same lot share its draws. */
export function lotDrawsOf(model: Model, design: Design, sampling: Sampling): Map<Lot, LotDraws> {
  const names = lotNames(design.additions.map((a) => a.lot));
  return new Map([...names].map(([lot, name]) => [lot, drawLot(model, lot, name, sampling)]));
}

/**
 * Makes the draws of a design's lots, a lot at a time, and those of science. They are kept, so that what is
 * worked out in these worlds next begins at once.
 */
export function* drawing(model: Model, design: Design, sampling: Sampling): Parts<void> {
  for (const [lot, name] of lotNames(design.additions.map((a) => a.lot))) {
    drawLot(model, lot, name, sampling);
    yield;
  }
  scienceOf(model, sampling);
  yield;
}

/**
 * The worlds of some draws: parameters and lots as drawn. With `science` as `null` the parameters have their
 * defaults and only lots vary.
 */
export function drawnWorld(
  count: number,
  science: Science | null,
  lots: ReadonlyMap<object, LotDraws>,
): World {
  return {
    count,
    valuesOf: (input) => {
      // What tasters report counts as science too: it is the same for every lot of the variety.
      if (!science && reportedAxis(input.name)) return undefined;
      return (
        lots.get(input.of)?.get(input.name) ?? (science ? scienceValues(science, input) : undefined)
      );
    },
  };
}

/** A prediction in every draw: one array per figure, by draw. */
export type Sample = Figures<Float64Array>;

/** Evaluations kept for the next blend of the same lots, under any conditions; the newest are kept. */
const evaluations = new Newest<Model, string, Evaluation>(4);

function evaluationOf(model: Model, design: Design, sampling: Sampling): Evaluation {
  const lots = [...lotNames(design.additions.map((a) => a.lot))];
  const named = lots.map(([lot, name]) => `${keyOf(lot)} ${name}`);
  const key = [sampling.samples, sampling.seed, ...named].join('|');
  return evaluations.of(model, key, () => {
    const drawn = lotDrawsOf(model, design, sampling);
    return new Evaluation(drawnWorld(sampling.samples, scienceOf(model, sampling), drawn));
  });
}

/** Predicts a design in every draw. The prediction of the next design of these lots overwrites the arrays. */
export function lentSample(model: Model, design: Design, sampling: Sampling): Sample {
  const evaluation = evaluationOf(model, design, sampling);
  const figures = compiledBeer(model, design).again(evaluation, design);
  return placed(figures, (values) => spread(values, sampling.samples));
}

/** The same, in arrays that the caller may keep. */
export function sampleDesign(model: Model, design: Design, sampling: Sampling): Sample {
  return placed(lentSample(model, design, sampling), (values) => values.slice());
}

/** Predicts a design in these worlds. */
export function sampleIn(model: Model, design: Design, world: World): Sample {
  const figures = compiledBeer(model, design).run(new Evaluation(world), design);
  return placed(figures, (values) => spread(values, world.count));
}

/**
 * Moves the element of rank `rank` to its place, smaller ones before it, larger ones after it (quickselect,
 * Hoare).
 */
function select(values: Float64Array, rank: number, from: number, to: number): void {
  let [low, high] = [from, to];
  while (low < high) {
    const pivot = values[(low + high) >> 1]!;
    let [i, j] = [low, high];
    while (i <= j) {
      while (values[i]! < pivot) i += 1;
      while (values[j]! > pivot) j -= 1;
      if (i > j) break;
      const kept = values[i]!;
      values[i] = values[j]!;
      values[j] = kept;
      i += 1;
      j -= 1;
    }
    if (rank <= j) high = j;
    else if (rank >= i) low = i;
    else return;
  }
}

/** Space for the draws of one figure while their ranks are found; all figures of an edit share it. */
let ranked = new Float64Array(0);

/** Quantiles of draws at some shares, interpolated between the two nearest draws (R quantile type 7). */
export function quantilesOf(draws: Float64Array, shares: readonly number[]): number[] {
  if (ranked.length !== draws.length) ranked = new Float64Array(draws.length);
  const values = ranked;
  values.set(draws);
  const last = values.length - 1;
  return shares.map((share) => {
    const place = last * share;
    const below = Math.floor(place);
    select(values, below, 0, last);
    let above = values[below]!;
    if (below < last) {
      above = Infinity;
      for (let k = below + 1; k <= last; k += 1) if (values[k]! < above) above = values[k]!;
    }
    return values[below]! + (above - values[below]!) * (place - below);
  });
}

/** 10 and 90 % points of draws. */
export function bandOf(draws: Float64Array): Band {
  const [low, high] = quantilesOf(draws, [0.1, 0.9]);
  return { low: low!, high: high! };
}
