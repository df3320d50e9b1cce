// The rows of a blend problem that wishes make: signals of the wished axes and the bitterness, as sums
// over columns with what the malt and the fixed additions bring as constants.
import { AXES, COMPOUNDS, type AxisId } from '#shared/ids.ts';
import type { Brief, Wish } from '#shared/schemas/brief.ts';
import { LOAD_GROUPS } from '#shared/schemas/tables.ts';
import { LEAF_DRIVER, REPORTED_DRIVER, signalMatrix } from '#engine/predict/smell.ts';
import { REPORTED_AS } from '#engine/predict/unit-dose.ts';
import type { Model, ParameterValues } from '#engine/tables/model.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { alphaHeld } from '#engine/process/alpha-solubility.ts';
import { shareAfterAdsorption, shareAtLoad } from '#engine/process/load-law.ts';
import type { Process } from '#engine/process/process.ts';
import type { StageTerms } from '#engine/process/stage.ts';
import { valueOf } from '#engine/symbols/term.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import type { ColumnSet } from './columns.ts';
import type { FixedAdditions } from './fixed-additions.ts';
import type { AxisRow, BitterRow, BitterTerm } from './problem.ts';
import { soughtBy } from './windows.ts';

/** One row for each wish, an axis at a time. */
export function* axisRows(
  model: Model,
  brief: Brief,
  { columns, effects, loads }: ColumnSet,
  fixed: FixedAdditions,
  values: ParameterValues,
): Resting<AxisRow[]> {
  const matrix = signalMatrix(model);
  const { batch, stages } = brief;
  const malt = predictPoint(model, { name: '', batch, stages, additions: [] }).compounds;
  const left = (group: number) =>
    shareAtLoad(fixed.load, values[`dry_hop.half_load.${LOAD_GROUPS[group]!}`]);
  const groups = COMPOUNDS.map((c) => LOAD_GROUPS.indexOf(model.compounds[c].loadGroup));
  const notedGroup = groups[COMPOUNDS.indexOf(REPORTED_AS)]!;
  const rowOf = (row: number, axis: AxisId, wish: Wish): AxisRow => {
    const weights = matrix[row]!;
    const counted = weights[REPORTED_DRIVER]!;
    const drivers = COMPOUNDS.flatMap((_, i) => (weights[i]! === 0 ? [] : [i]));
    const dryWeights = drivers.map((i) => weights[i]! * left(groups[i]!));
    const direct = new Float64Array(columns.length);
    const damped = LOAD_GROUPS.map(() => new Float64Array(columns.length));
    for (let j = 0; j < columns.length; j += 1) {
      const { compounds, reported, leaf } = effects[j]!;
      const dry = loads[j]!;
      let signal = weights[LEAF_DRIVER]! * leaf;
      if (dry) damped[notedGroup]![j] = left(notedGroup) * counted * reported[row]!;
      else signal += counted * reported[row]!;
      for (let k = 0; k < drivers.length; k += 1) {
        const i = drivers[k]!;
        if (dry) damped[groups[i]!]![j]! += dryWeights[k]! * compounds[i]!;
        else signal += weights[i]! * compounds[i]!;
      }
      direct[j] = signal;
    }
    const dampedBase = LOAD_GROUPS.map(() => 0);
    dampedBase[notedGroup] = left(notedGroup) * counted * fixed.reported.damped[row]!;
    let base = weights[LEAF_DRIVER]! * fixed.leaf + counted * fixed.reported.direct[row]!;
    malt.forEach((ug, i) => {
      base += weights[i]! * (ug + fixed.direct[i]!);
      dampedBase[groups[i]!]! += weights[i]! * fixed.damped[i]! * left(groups[i]!);
    });
    return { axis, wish, ...soughtBy(wish, brief.minimise), base, dampedBase, direct, damped };
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
  process: Process,
  brief: Brief,
  { columns, effects }: ColumnSet,
  { alpha: fixedAlpha, humulinones, load }: FixedAdditions,
  values: ParameterValues,
): BitterRow | null {
  const { ibu_at_least: atLeast, ibu_at_most: atMost } = brief.limits;
  if (atLeast === undefined && atMost === undefined) return null;
  const adsorption = values['dry_hop.iso_adsorption'];
  const left = values['iso.to_beer'] * shareAfterAdsorption(load, adsorption);
  const alphaOf = (isIn: (stage: StageTerms) => boolean) => {
    const keys = new Set(process.stages.filter(isIn).map(({ use }) => use.key));
    const alpha = Float64Array.from(columns, ({ stage }, j) =>
      stage !== null && keys.has(stage) ? effects[j]!.alpha : 0,
    );
    const fixed = [...keys].reduce((sum, key) => sum + (fixedAlpha.get(key) ?? 0), 0);
    return { alpha, fixed };
  };
  const term = (
    { alpha, fixed }: ReturnType<typeof alphaOf>,
    most: number,
    weight: number,
    adsorbed: boolean,
  ): BitterTerm => {
    const base = Math.min(fixed, most);
    return { alpha, base, cap: most - base, weight, adsorbed };
  };
  const hot = process.stages.flatMap((stage) => {
    const { alpha: path } = stage;
    if (path.kind === 'cold') return [];
    const weight = path.isomerized().value * left;
    return [
      term(
        alphaOf((s) => s === stage),
        valueOf(path.cap),
        weight,
        true,
      ),
    ];
  });
  const cold = term(
    alphaOf((s) => s.alpha.kind === 'cold'),
    alphaHeld(process).value,
    values['ibu.weight.alpha'],
    false,
  );
  const ofHumulinones = values['ibu.weight.humulinone'];
  return {
    ...(brief.minimise === 'closest' && { held: true }),
    atLeast,
    atMost,
    terms: [...hot, cold].filter((t) => t.weight > 0 && (t.base > 0 || t.alpha.some((a) => a > 0))),
    base: ofHumulinones * humulinones,
    plain: Float64Array.from(effects, (e) => ofHumulinones * e.humulinones),
    adsorption,
  };
}
