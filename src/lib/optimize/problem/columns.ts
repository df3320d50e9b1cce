// The columns of a blend problem: every lot at every stage in use, with what 1 g/L of it does there
// and the largest dose that stock, stage and weighing step leave.
import type { LeftOut } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { DOSE_G_PER_L_MAX } from '#shared/schemas/sizes.ts';
import { stageForms, stageMost } from '#shared/schemas/stage-limits.ts';
import { nameKey } from '#shared/name-key.ts';
import type { Grams, GramsPerLitre } from '#shared/units.ts';
import { effectsAt, noEffect, type Effect } from '#engine/predict/effects.ts';
import { packagesFor } from '#engine/predict/purchases.ts';
import type { Process } from '#engine/process/process.ts';
import type { World } from '#engine/symbols/world.ts';
import type { Offer } from './candidates.ts';
import { LOTS_AT_ONCE, type Resting } from '#optimize/pacing/clock.ts';
import type { FixedAdditions } from './fixed-additions.ts';
import type { Column } from './problem.ts';

/** The effect of what is left over of packages: none. */
const NO_EFFECT: Effect = noEffect();

/** Steps in a dose, forgiving the rounding of division; but none beyond the largest dose taken. */
function stepsIn(dose: GramsPerLitre, step: GramsPerLitre): number {
  const steps = Math.floor(dose / step + 1e-9);
  return steps * step > DOSE_G_PER_L_MAX ? steps - 1 : steps;
}

export interface ColumnSet {
  readonly columns: Column[];
  readonly effects: Effect[];
  /** Whether a column is a dry hop, one whose yield falls with the load of all. */
  readonly loads: boolean[];
  readonly varieties: string[];
  readonly leftOut: LeftOut[];
}

/**
 * Every column a brief leaves open, and lots that have none. `least` and `step` in g/L; 0 where free.
 * @param free grams of each lot that may still be used.
 */
export function* columnSetOf(
  process: Process,
  brief: Brief,
  offers: readonly Offer[],
  fixed: FixedAdditions,
  free: readonly Grams[],
  world: World,
  least: GramsPerLitre,
  step: GramsPerLitre,
): Resting<ColumnSet> {
  const { batch, limits } = brief;
  const stages = process.stages.map(({ use, loads }) => ({ key: use.key, loads }));
  const set: ColumnSet = { columns: [], effects: [], loads: [], varieties: [], leftOut: [] };
  const put = (column: Column, loads: boolean) => {
    set.columns.push(column);
    set.effects.push(NO_EFFECT);
    set.loads.push(loads);
  };
  const counted = brief.minimise === 'cost' || limits.cost_at_most !== undefined;
  const varietyOf = new Map<string, number>();
  for (const [index, { lot }] of offers.entries()) {
    if (index % LOTS_AT_ONCE === 0) yield;
    const onHand = free[index]!;
    const stock = onHand / batch.beer_l;
    if (stock < Math.max(least, step) * (1 - 1e-9) || stock === 0) {
      const reason = `${onHand} g on hand and free is less than one addition may be`;
      set.leftOut.push({ hop: lot.hop, reason });
      continue;
    }
    const first = set.columns.length;
    for (const { key: stage, loads } of stages) {
      if (!stageForms(limits, stage).includes(lot.form)) continue;
      const room = (stageMost(limits, stage) ?? Infinity) - (fixed.doses.get(stage) ?? 0);
      const dose = Math.min(DOSE_G_PER_L_MAX, room, stock);
      const most = step > 0 ? stepsIn(dose, step) * step : dose;
      if (most <= 0 || most < least * (1 - 1e-9)) continue;
      const key = nameKey(lot.hop);
      if (!varietyOf.has(key)) varietyOf.set(key, set.varieties.push(lot.hop) - 1);
      put({ lot: index, variety: varietyOf.get(key)!, form: lot.form, stage, most }, loads);
    }
    if (!counted || lot.packageG === null || !lot.pricePerKg) continue;
    const own = set.columns.slice(first);
    const [column] = own;
    if (!column) continue;
    const size = lot.packageG / batch.beer_l;
    const packages = packagesFor(
      own.reduce((sum, c) => sum + c.most, 0),
      size,
    );
    put({ ...column, stage: null, package: size, most: packages * size }, false);
  }
  for (const { key: stage } of stages) {
    const own = set.columns.flatMap((column, j) => (column.stage === stage ? [j] : []));
    for (let from = 0; from < own.length; from += LOTS_AT_ONCE) {
      yield;
      const some = own.slice(from, from + LOTS_AT_ONCE);
      const lots = some.map((j) => offers[set.columns[j]!.lot]!.lot);
      const effects = effectsAt(process, lots, stage, world);
      some.forEach((j, k) => (set.effects[j] = effects[k]!));
    }
  }
  return set;
}
