// The one entry through which the rest of the product asks for everything a design gives: the prediction at the
// defaults, 10-90 % bands, and what is not known.
import { AXES, COMPOUNDS, type AxisId, type CompoundId } from '#shared/ids.ts';
import {
  DOUBTFUL_TOTALS,
  type AxisAnswer,
  type Band,
  type CompoundAnswer,
  type DoubtfulTotalId,
  type Prediction,
  type UnknownFigures,
} from '#shared/answers/prediction.ts';
import { purchasesOf } from '#engine/predict/purchases.ts';
import { bandOf, DEFAULT_SAMPLING, drawing, lentSample } from '#engine/doubt/bands.ts';
import { atOnce, type Parts } from '#engine/doubt/parts.ts';
import type { Design } from '#engine/predict/design.ts';
import type { Model } from '#engine/tables/model.ts';
import { outlookOf } from './outlook.ts';
import { compiledBeer, lotsOf, predictPoint, totalsOf } from '#engine/predict/predict.ts';
import type { Sampling } from '#engine/doubt/sampling.ts';

/** Figures of used lots that are not known. */
export function unknownFigures(design: Design): UnknownFigures[] {
  return lotsOf(design)
    .filter((lot) => lot.unknown.length > 0)
    .map((lot) => ({ hop: lot.hop, figures: lot.unknown }));
}

/** The full answer: point prediction at the defaults, 10-90 % bands, what is not known. */
export function predict(
  model: Model,
  design: Design,
  sampling: Sampling = DEFAULT_SAMPLING,
): Prediction {
  return atOnce(predicting(model, design, sampling));
}

/** The same, a few milliseconds at a time. */
export function* predicting(
  model: Model,
  design: Design,
  sampling: Sampling = DEFAULT_SAMPLING,
): Parts<Prediction> {
  yield* drawing(model, design, sampling);
  compiledBeer(model, design);
  yield;
  // No rest from here to the last band: whoever predicts the same lots in between overwrites what is lent.
  // The draws come first, because the prediction at the defaults then runs the program compiled for them.
  const sample = lentSample(model, design, sampling);
  const point = predictPoint(model, design);

  const compounds = {} as Record<CompoundId, CompoundAnswer>;
  COMPOUNDS.forEach((c, i) => {
    const ug = bandOf(sample.compounds[i]!);
    const drawnOav = sample.oavs[i];
    const oavBand = drawnOav ? bandOf(drawnOav) : null;
    compounds[c] = {
      ug_per_l: point.compounds[i]!,
      ...ug,
      oav: point.oavs[i]!,
      oav_low: oavBand?.low ?? null,
      oav_high: oavBand?.high ?? null,
    };
  });

  const axes = {} as Record<AxisId, AxisAnswer>;
  AXES.forEach((axis, i) => {
    const { low, high } = bandOf(sample.intensities[i]!);
    axes[axis] = { intensity: point.intensities[i]!, low, high, signal: point.signals[i]! };
  });

  const totalsBand = {} as Record<DoubtfulTotalId, Band>;
  for (const id of DOUBTFUL_TOTALS) totalsBand[id] = bandOf(sample.totals[id]);

  yield;
  const purchases = purchasesOf(design.additions);
  return {
    name: design.name,
    totals: totalsOf(design, point),
    totals_band: totalsBand,
    compounds,
    axes,
    unknown: unknownFigures(design),
    ...(purchases.length > 0 && { purchases }),
    unpriced: lotsOf(design)
      .filter((lot) => lot.pricePerKg === null)
      .map((lot) => lot.hop),
    ...outlookOf(model, design, point, totalsBand.creep_to_come_vol),
  };
}
