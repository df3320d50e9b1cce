// The columns of a blend problem: every lot at every stage in use, with what 1 g/L of it does there
// and the largest dose that stock, stage and weighing step leave.
import { STAGES } from '#shared/ids.ts';
import type { LeftOut } from '#shared/answer.ts';
import { DOSE_G_PER_L_MAX, type Brief } from '#shared/schemas/brief.ts';
import { nameKey } from '#shared/name-key.ts';
import { blankEffect, effectOf, type Effect } from '#engine/effect.ts';
import type { Model } from '#engine/model.ts';
import { packagesFor } from '#engine/purchases.ts';
import type { World } from '#engine/predict.ts';
import { processOf } from '#engine/process.ts';
import type { Offer } from './candidates.ts';
import { LOTS_AT_ONCE, type Resting } from './clock.ts';
import type { Kept } from './kept.ts';
import type { Use } from './problem.ts';

/** What is left over does nothing to the beer. */
const NO_EFFECT: Effect = blankEffect();

/** Steps in a dose, forgiving the rounding of division; but none beyond the largest dose taken. */
function stepsIn(dose: number, step: number): number {
  const steps = Math.floor(dose / step + 1e-9);
  return steps * step > DOSE_G_PER_L_MAX ? steps - 1 : steps;
}

export interface Columns {
  readonly uses: Use[];
  readonly effects: Effect[];
  readonly varieties: string[];
  readonly leftOut: LeftOut[];
}

/**
 * Every use a brief leaves open, and lots that have none. `least` and `step` in g/L; 0 where free.
 * @param free grams of each lot that may still be used.
 */
export function* columnsOf(
  model: Model,
  brief: Brief,
  offers: readonly Offer[],
  kept: Kept,
  free: readonly number[],
  world: World,
  least: number,
  step: number,
): Resting<Columns> {
  const { batch, stages, limits } = brief;
  const process = processOf(model, batch, stages, world.values);
  const columns: Columns = { uses: [], effects: [], varieties: [], leftOut: [] };
  const counted = brief.minimise === 'cost' || limits.cost_at_most !== undefined;
  const varietyOf = new Map<string, number>();
  for (const [index, { lot }] of offers.entries()) {
    if (index % LOTS_AT_ONCE === 0) yield;
    const onHand = free[index]!;
    const stock = onHand / batch.beer_l;
    if (stock < Math.max(least, step) * (1 - 1e-9) || stock === 0) {
      const reason = `${onHand} g on hand and free is less than one addition may be`;
      columns.leftOut.push({ hop: lot.hop, reason });
      continue;
    }
    const first = columns.uses.length;
    const figures = world.lots.get(lot)!;
    for (const stage of STAGES) {
      if (!stages[stage]) continue;
      const stageMost = (limits.stage_at_most_g_per_l?.[stage] ?? Infinity) - kept.doses[stage];
      const dose = Math.min(DOSE_G_PER_L_MAX, stageMost, stock);
      const most = step > 0 ? stepsIn(dose, step) * step : dose;
      if (most <= 0 || most < least * (1 - 1e-9)) continue;
      const key = nameKey(lot.hop);
      if (!varietyOf.has(key)) varietyOf.set(key, columns.varieties.push(lot.hop) - 1);
      columns.uses.push({ lot: index, variety: varietyOf.get(key)!, form: lot.form, stage, most });
      columns.effects.push(effectOf(figures, stage, process));
    }
    if (!counted || lot.packageG === null || !lot.pricePerKg) continue;
    const own = columns.uses.slice(first);
    const [use] = own;
    if (!use) continue;
    const size = lot.packageG / batch.beer_l;
    const packages = packagesFor(
      own.reduce((sum, u) => sum + u.most, 0),
      size,
    );
    columns.uses.push({ ...use, stage: 'unused', package: size, most: packages * size });
    columns.effects.push(NO_EFFECT);
  }
  return columns;
}
