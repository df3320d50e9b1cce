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

/** What drives the signal of an axis: the weights of the compounds that a column brings. */
export interface AxisDrivers {
  /** Compounds that count, by index. */
  readonly compounds: readonly number[];
  /** By place in `compounds`: weight where the load takes nothing; weight before the load; its load group. */
  readonly direct: readonly number[];
  readonly damped: readonly number[];
  readonly groups: readonly number[];
  readonly leaf: number;
  /** The same of what tasters report on the axis. */
  readonly reported: { readonly direct: number; readonly damped: number; readonly group: number };
}

/** The drivers of all axes, in their order. */
export function driversOf(
  model: Model,
  fixed: FixedAdditions,
  values: ParameterValues,
): AxisDrivers[] {
  const left = (group: number) =>
    shareAtLoad(fixed.load, values[`dry_hop.half_load.${LOAD_GROUPS[group]!}`]);
  const groupOf = (c: number) => LOAD_GROUPS.indexOf(model.compounds[COMPOUNDS[c]!].loadGroup);
  const noted = groupOf(COMPOUNDS.indexOf(REPORTED_AS));
  return signalMatrix(model).map((weights) => {
    const compounds = COMPOUNDS.flatMap((_, i) => (weights[i]! === 0 ? [] : [i]));
    const counted = weights[REPORTED_DRIVER]!;
    const groups = compounds.map(groupOf);
    return {
      compounds,
      direct: compounds.map((i) => weights[i]!),
      damped: compounds.map((i, k) => weights[i]! * left(groups[k]!)),
      groups,
      leaf: weights[LEAF_DRIVER]!,
      reported: { direct: counted, damped: counted * left(noted), group: noted },
    };
  });
}

/** What is in the beer before any dose is chosen: the signal of an axis, and what the load takes of, by group. */
export function signalBase(
  drivers: AxisDrivers,
  axis: number,
  malt: ArrayLike<number>,
  fixed: FixedAdditions,
): Pick<AxisRow, 'base' | 'dampedBase'> {
  const { compounds, direct, damped, groups, leaf, reported } = drivers;
  const dampedBase = LOAD_GROUPS.map(() => 0);
  dampedBase[reported.group] = reported.damped * fixed.reported.damped[axis]!;
  let base = leaf * fixed.leaf + reported.direct * fixed.reported.direct[axis]!;
  compounds.forEach((i, k) => {
    base += direct[k]! * (malt[i]! + fixed.direct[i]!);
    dampedBase[groups[k]!]! += damped[k]! * fixed.damped[i]!;
  });
  return { base, dampedBase };
}

/** Compounds of the malt in the beer, ug/L. */
export function maltOf(model: Model, { batch, stages }: Brief): ArrayLike<number> {
  return predictPoint(model, { name: '', batch, stages, additions: [] }).compounds;
}

/** One row for each wish, an axis at a time. */
export function* axisRows(
  model: Model,
  brief: Brief,
  { columns, effects, loads }: ColumnSet,
  fixed: FixedAdditions,
  values: ParameterValues,
): Resting<AxisRow[]> {
  const malt = maltOf(model, brief);
  const drivers = driversOf(model, fixed, values);
  const rowOf = (row: number, axis: AxisId, wish: Wish): AxisRow => {
    const of = drivers[row]!;
    const direct = new Float64Array(columns.length);
    const damped = LOAD_GROUPS.map(() => new Float64Array(columns.length));
    for (let j = 0; j < columns.length; j += 1) {
      const { compounds, reported, leaf } = effects[j]!;
      const dry = loads[j]!;
      let signal = of.leaf * leaf;
      if (dry) damped[of.reported.group]![j] = of.reported.damped * reported[row]!;
      else signal += of.reported.direct * reported[row]!;
      for (let k = 0; k < of.compounds.length; k += 1) {
        const ug = compounds[of.compounds[k]!]!;
        if (dry) damped[of.groups[k]!]![j]! += of.damped[k]! * ug;
        else signal += of.direct[k]! * ug;
      }
      direct[j] = signal;
    }
    const window = soughtBy(wish, brief.minimise);
    return { axis, wish, ...window, ...signalBase(of, row, malt, fixed), direct, damped };
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
    const alpha = new Float64Array(columns.length);
    for (let j = 0; j < columns.length; j += 1) {
      const { stage } = columns[j]!;
      if (stage !== null && keys.has(stage)) alpha[j] = effects[j]!.alpha;
    }
    const fixed = [...keys].reduce((sum, key) => sum + (fixedAlpha.get(key) ?? 0), 0);
    return { alpha, fixed, stages: [...keys] };
  };
  const term = (
    { alpha, fixed, stages }: ReturnType<typeof alphaOf>,
    most: number,
    weight: number,
    adsorbed: boolean,
  ): BitterTerm => {
    const base = Math.min(fixed, most);
    return { alpha, stages, base, cap: most - base, weight, adsorbed };
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
  const plain = new Float64Array(effects.length);
  for (let j = 0; j < plain.length; j += 1) plain[j] = ofHumulinones * effects[j]!.humulinones;
  return {
    ...(brief.minimise === 'closest' && { held: true }),
    atLeast,
    atMost,
    terms: [...hot, cold].filter((t) => t.weight > 0 && (t.base > 0 || t.alpha.some((a) => a > 0))),
    base: ofHumulinones * humulinones,
    plain,
    adsorption,
  };
}
