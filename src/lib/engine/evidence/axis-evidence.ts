// How much of a predicted aroma rests on which kind of evidence. Every axis is a sum of terms: one per addition and
// compound, and one per addition for what tasters report. Each term is as good as the weakest of its figures: those
// of the hop, the odour threshold, and the process figures whose uncertainty would be noticed.
import { AXES, COMPOUNDS, STATUSES, type AxisId, type Status } from '#shared/ids.ts';
import type { Model } from '#engine/tables/model.ts';
import { Beer } from '#engine/predict/beer.ts';
import type { Design } from '#engine/predict/design.ts';
import { dosedIn } from '#engine/predict/predict.ts';
import { countsWith, leafActivity, odourActivity } from '#engine/predict/smell.ts';
import { REPORTED_AS } from '#engine/predict/unit-dose.ts';
import { processOf } from '#engine/process/process.ts';
import { evidenceShares, weakest } from '#engine/symbols/standing.ts';
import { times, valueOf, type Term } from '#engine/symbols/term.ts';
import { processGround } from './process-ground.ts';

/** Shares of an axis' signal by the weakest evidence behind them; they add up to 1. */
export type AxisEvidence = Readonly<Record<Status, number>>;

/** The evidence behind each axis; `null` where the design brings nothing of it. */
export function axisEvidence(
  model: Model,
  design: Design,
): Readonly<Record<AxisId, AxisEvidence | null>> {
  const additions = dosedIn(design);
  const beer = new Beer(processOf(model, design.batch, design.stages), additions);
  const ground = processGround(beer, additions.length);
  const places = [...additions.keys(), additions.length];
  const sums = new Map(
    AXES.map((axis) => [
      axis,
      Object.fromEntries(STATUSES.map((s) => [s, 0])) as Record<Status, number>,
    ]),
  );
  const add = (axis: AxisId, term: Term, process: Status) => {
    const size = valueOf(term);
    if (size === 0) return;
    const of = sums.get(axis)!;
    for (const [status, share] of Object.entries(evidenceShares(term) ?? {})) {
      of[weakest(status as Status, process)] += share * size;
    }
  };
  for (const row of model.weights) {
    const { driver, axis } = row;
    const counts = countsWith(model, row);
    for (const place of places) {
      const isMalt = place === additions.length;
      if (driver === 'leaf') {
        const leaf = isMalt ? null : beer.leafBrought(place);
        if (leaf) add(axis, times(...counts, leafActivity(model, leaf)), 'analysis');
        continue;
      }
      const brought = isMalt ? beer.broughtByMalt(driver) : beer.brought(place, driver);
      const activity = brought && odourActivity(model, driver, brought);
      if (!activity) continue;
      add(axis, times(...counts, activity), ground(place, COMPOUNDS.indexOf(driver)));
    }
  }
  for (const axis of AXES) {
    additions.forEach((_, place) => {
      const noted = beer.reportedBy(place, axis);
      if (noted) add(axis, noted, ground(place, COMPOUNDS.indexOf(REPORTED_AS)));
    });
  }
  return Object.fromEntries(
    AXES.map((axis) => {
      const of = sums.get(axis)!;
      const whole = STATUSES.reduce((sum, s) => sum + of[s], 0);
      const shares = STATUSES.map((s) => [s, of[s] / whole]);
      return [axis, whole > 0 ? (Object.fromEntries(shares) as AxisEvidence) : null];
    }),
  ) as Record<AxisId, AxisEvidence | null>;
}
