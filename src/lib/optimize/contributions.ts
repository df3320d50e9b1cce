// What each addition brings to each axis, at the blend's own dry-hop load, and what the malt brings.
// The parts are the terms of the engine's own sum, so they add up to the signal of the axis.
import { AXES, COMPOUNDS, type AxisId } from '#shared/ids.ts';
import type { Contribution } from '#shared/answer.ts';
import { signalMatrix, signals } from '#engine/aroma.ts';
import type { Design } from '#engine/design.ts';
import { effectOf, maltEffect } from '#engine/effect.ts';
import type { Model } from '#engine/model.ts';
import { defaultWorld, dryHopLoad, lotsOf } from '#engine/predict.ts';
import { processOf } from '#engine/process.ts';
import { loadFactor } from '#engine/transfer.ts';

/**
 * The parts of every axis' signal: the malt first, then the additions in the design's order.
 * A share is `null` where the axis has no signal at all.
 */
export function contributionsOf(model: Model, design: Design): Contribution[] {
  const { batch, stages } = design;
  const additions = design.additions.filter((a) => a.grams > 0);
  const world = defaultWorld(model, lotsOf(design));
  const process = processOf(model, batch, stages, world.values);
  const matrix = signalMatrix(model, world.thresholds, world.values);
  const load = dryHopLoad(design);
  const damping = COMPOUNDS.map((c) =>
    loadFactor(model.compounds[c].loadGroup, load, world.values),
  );
  const parts = [
    { addition: null, signals: signals(matrix, maltEffect(process), 0) },
    ...additions.map(({ lot, stage, grams }) => {
      const dose = grams / batch.beer_l;
      const effect = effectOf(world.lots.get(lot)!, stage, process);
      const brought = effect.compounds.map(
        (ug, i) => dose * ug * (stage === 'dry_hop' ? damping[i]! : 1),
      );
      return {
        addition: { hop: lot.hop, form: lot.form, stage, grams },
        signals: signals(matrix, brought, dose * effect.leaf),
      };
    }),
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
