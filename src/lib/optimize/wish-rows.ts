// The rows of a blend problem that wishes make: signals of the wished axes and the bitterness, as sums
// over columns with what the malt and the kept additions bring as constants.
import { AXES, COMPOUNDS, type AxisId } from '#shared/ids.ts';
import type { Brief, Wish } from '#shared/schemas/brief.ts';
import { LOAD_GROUPS } from '#shared/schemas/tables.ts';
import { LEAF_DRIVER, signalMatrix } from '#engine/aroma.ts';
import { adsorptionFactor } from '#engine/bitterness.ts';
import { maltEffect, type Effect } from '#engine/effect.ts';
import type { Model } from '#engine/model.ts';
import { isoFractionsOf, type World } from '#engine/predict.ts';
import { processOf } from '#engine/process.ts';
import { loadFactor } from '#engine/transfer.ts';
import type { Resting } from './clock.ts';
import type { Columns } from './columns.ts';
import type { Kept } from './kept.ts';
import type { AxisRow, BitterRow, BitterTerm } from './problem.ts';

/** Window of intensities of a wish. */
export function windowOf(wish: Wish): { low: number; high: number } {
  const aimed = wish.aim !== undefined && wish.within !== undefined;
  return {
    low: Math.max(aimed ? wish.aim! - wish.within! : -Infinity, wish.at_least ?? -Infinity),
    high: Math.min(aimed ? wish.aim! + wish.within! : Infinity, wish.at_most ?? Infinity),
  };
}

/** The one figure a wish asks for: its aim, whatever is said of how far off it may be, or its edge. */
export function aimOf(wish: Wish): { low: number; high: number } {
  return {
    low: Math.max(wish.aim ?? -Infinity, wish.at_least ?? -Infinity),
    high: Math.min(wish.aim ?? Infinity, wish.at_most ?? Infinity),
  };
}

/** One row for each wish, an axis at a time. */
export function* axisRows(
  model: Model,
  brief: Brief,
  { uses, effects }: Columns,
  kept: Kept,
  { values, thresholds }: World,
): Resting<AxisRow[]> {
  const matrix = signalMatrix(model, thresholds, values);
  const malt = maltEffect(processOf(model, brief.batch, brief.stages, values));
  const left = (group: number) => loadFactor(LOAD_GROUPS[group]!, kept.doses.dry_hop, values);
  const groups = COMPOUNDS.map((c) => LOAD_GROUPS.indexOf(model.compounds[c].loadGroup));
  const rowOf = (row: number, axis: AxisId, wish: Wish): AxisRow => {
    const weights = matrix[row]!;
    const drivers = COMPOUNDS.flatMap((_, i) => (weights[i]! === 0 ? [] : [i]));
    const dryWeights = drivers.map((i) => weights[i]! * left(groups[i]!));
    const direct = new Float64Array(uses.length);
    const damped = LOAD_GROUPS.map(() => new Float64Array(uses.length));
    for (let j = 0; j < uses.length; j += 1) {
      const { compounds, leaf } = effects[j]!;
      const dry = uses[j]!.stage === 'dry_hop';
      let signal = weights[LEAF_DRIVER]! * leaf;
      for (let k = 0; k < drivers.length; k += 1) {
        const i = drivers[k]!;
        if (dry) damped[groups[i]!]![j]! += dryWeights[k]! * compounds[i]!;
        else signal += weights[i]! * compounds[i]!;
      }
      direct[j] = signal;
    }
    const dampedBase = LOAD_GROUPS.map(() => 0);
    let base = weights[LEAF_DRIVER]! * kept.leaf;
    malt.forEach((ug, i) => {
      base += weights[i]! * (ug + kept.direct[i]!);
      dampedBase[groups[i]!]! += weights[i]! * kept.damped[i]! * left(groups[i]!);
    });
    const window = brief.minimise === 'closest' ? aimOf(wish) : windowOf(wish);
    return { axis, wish, ...window, base, dampedBase, direct, damped };
  };
  const rows: AxisRow[] = [];
  for (const [row, axis] of AXES.entries()) {
    const wish = brief.target[axis];
    if (!wish) continue;
    yield;
    rows.push(rowOf(row, axis, wish));
  }
  return rows;
}

export function bitterRow(
  model: Model,
  brief: Brief,
  { effects }: Columns,
  { pools, doses }: Kept,
  { values }: World,
): BitterRow | null {
  const { ibu_at_least: atLeast, ibu_at_most: atMost } = brief.limits;
  if (atLeast === undefined && atMost === undefined) return null;
  const iso = isoFractionsOf(processOf(model, brief.batch, brief.stages, values));
  const of = (pick: (e: Effect) => number) => Float64Array.from(effects, pick);
  const hotCap = values['iso.hot_alpha_cap'];
  const dryCap = values['dry_hop.alpha_cap'];
  const left = values['iso.to_beer'] * adsorptionFactor(doses.dry_hop, values);
  const term = (alpha: Float64Array, kept: number, cap: number, weight: number): BitterTerm => {
    const base = Math.min(kept, cap);
    return { alpha, base, cap: cap - base, weight, adsorbed: true };
  };
  const cold = term(
    of((e) => e.alphaDry),
    pools.alphaDry,
    dryCap,
    values['ibu.weight.alpha'],
  );
  return {
    ...(brief.minimise === 'closest' && { held: true }),
    atLeast,
    atMost,
    terms: [
      term(
        of((e) => e.alphaMash),
        pools.alphaMash,
        hotCap,
        iso.mash * left,
      ),
      term(
        of((e) => e.alphaSteep),
        pools.alphaSteep,
        hotCap,
        iso.hot_steep * left,
      ),
      { ...cold, adsorbed: false },
    ].filter((t) => t.weight > 0 && (t.base > 0 || t.alpha.some((a) => a > 0))),
    base: values['ibu.weight.humulinone'] * pools.humulinones,
    plain: of((e) => values['ibu.weight.humulinone'] * e.humulinones),
    adsorption: values['dry_hop.iso_adsorption'],
  };
}
