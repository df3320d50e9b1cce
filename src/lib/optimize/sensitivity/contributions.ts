// What each addition brings to each axis, at the blend's own dry-hop load, and what the malt brings.
// The parts are the terms of the engine's own sum, so they add up to the signal of the axis.
import { AXES, COMPOUNDS, type AxisId, type CompoundId } from '#shared/ids.ts';
import type { Contribution } from '#shared/answers/answer.ts';
import { Beer } from '#engine/predict/beer.ts';
import type { Design } from '#engine/predict/design.ts';
import { dosedIn } from '#engine/predict/predict.ts';
import { LEAF_DRIVER, REPORTED_DRIVER, signalMatrix } from '#engine/predict/smell.ts';
import { processOf } from '#engine/process/process.ts';
import type { Model } from '#engine/tables/model.ts';
import { valueOf, type Term } from '#engine/symbols/term.ts';

/**
 * The parts of every axis' signal: the malt first, then the additions in the design's order.
 * A share is `null` where the axis has no signal at all.
 */
export function contributionsOf(model: Model, design: Design): Contribution[] {
  const additions = dosedIn(design);
  const beer = new Beer(processOf(model, design.batch, design.stages), additions);
  const matrix = signalMatrix(model);
  const signals = (
    ofCompound: (compound: CompoundId) => Term | null,
    leaf: Term | null,
    reported: (axis: AxisId) => Term | null,
  ) => {
    const amounts = COMPOUNDS.map((c) => {
      const term = ofCompound(c);
      return term ? valueOf(term) : 0;
    });
    const grassy = leaf ? valueOf(leaf) : 0;
    return matrix.map((row, a) => {
      const noted = reported(AXES[a]!);
      const first =
        row[LEAF_DRIVER]! * grassy + row[REPORTED_DRIVER]! * (noted ? valueOf(noted) : 0);
      return amounts.reduce((sum, ug, i) => sum + row[i]! * ug, first);
    });
  };
  const parts = [
    {
      addition: null,
      signals: signals(
        (c) => beer.broughtByMalt(c),
        null,
        () => null,
      ),
    },
    ...additions.map(({ lot, stage, grams }, a) => ({
      addition: { hop: lot.hop, form: lot.form, stage, grams },
      signals: signals(
        (c) => beer.brought(a, c),
        beer.leafBrought(a),
        (axis) => beer.reportedBy(a, axis),
      ),
    })),
  ];
  const totals = AXES.map((_, i) => parts.reduce((sum, p) => sum + p.signals[i]!, 0));
  return parts.map((p) => ({
    addition: p.addition,
    axes: Object.fromEntries(
      AXES.map((axis, i) => {
        const signal = p.signals[i]!;
        return [axis, { signal, share: totals[i]! > 0 ? signal / totals[i]! : null }];
      }),
    ) as Record<AxisId, { signal: number; share: number | null }>,
  }));
}
