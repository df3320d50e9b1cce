// How much of a predicted aroma rests on which kind of evidence: every axis is a sum of terms, one per
// addition, figure and compound, and each term is as good as the weakest of what it is made of: the
// figure, the total oil, the odour threshold, and the process figures whose doubt would be noticed.
import {
  ANALYTES,
  AXES,
  COMPOUNDS,
  STATUSES,
  type AnalyteId,
  type AxisId,
  type Status,
} from '#shared/ids.ts';
import { LEAF_DRIVER, signalMatrix } from '#engine/aroma.ts';
import type { Lot } from '#engine/composition.ts';
import type { Design } from '#engine/design.ts';
import { centralValues, effectOf, maltEffect, type LotValues } from '#engine/effect.ts';
import { weakest } from '#engine/ground.ts';
import { parameterStatus, type Model } from '#engine/model.ts';
import { defaultWorld, dryHopLoad, lotsOf } from '#engine/predict.ts';
import { processOf } from '#engine/process.ts';
import { loadFactor } from '#engine/transfer.ts';
import { processGround } from './process-ground.ts';

/** Shares of an axis' signal by the weakest evidence behind them; they add up to 1. */
export type Resting = Readonly<Record<Status, number>>;

/** The lot as if it held one thing alone; effects are linear in these, so they add up. */
function only(values: LotValues, kept: AnalyteId): LotValues {
  const figures = values.figures.map((figure, i) => {
    const id = ANALYTES[i]!;
    return id === kept || id === 'total_oil_ml_per_100g' ? figure : 0;
  });
  return { ...values, figures };
}

const TERMS = ANALYTES.filter(
  (a) => a.endsWith('_pct_of_oil') || a.endsWith('_ug_per_kg') || a.endsWith('_sh3_mg_per_kg'),
);

/** Status of a figure with what it is worth nothing without. Bound 3SH nobody measured is a class. */
function statusOf(lot: Lot, analyte: AnalyteId): Status {
  const own = lot.figures[analyte]?.status ?? 'memory';
  const oil = lot.figures.total_oil_ml_per_100g?.status;
  return analyte.endsWith('_pct_of_oil') && oil ? weakest(own, oil) : own;
}

/** What each axis rests on; `null` where the design brings none of it. */
export function restsOn(model: Model, design: Design): Readonly<Record<AxisId, Resting | null>> {
  const world = defaultWorld(model, lotsOf(design));
  const process = processOf(model, design.batch, design.stages, world.values);
  const matrix = signalMatrix(model, world.thresholds, world.values);
  const load = dryHopLoad(design);
  const sums = AXES.map(
    () => Object.fromEntries(STATUSES.map((s) => [s, 0])) as Record<Status, number>,
  );
  const add = (driver: number, amount: number, status: Status) => {
    if (amount === 0) return;
    matrix.forEach((row, a) => (sums[a]![status] += row[driver]! * amount));
  };
  const ground = processGround(model, design, world);
  const addCompounds = (amounts: Float64Array, status: Status, addition: number) =>
    COMPOUNDS.forEach((c, i) => {
      const smelled = model.compounds[c].threshold?.status ?? status;
      add(i, amounts[i]!, weakest(status, smelled, ground(addition, i)));
    });
  const malt = parameterStatus(model.parameters['malt.g_sh3']);
  addCompounds(maltEffect(process), malt, design.additions.length);
  const leafStatus = parameterStatus(model.parameters['leaf.grassy_threshold']);
  for (const [a, { lot, stage, grams }] of design.additions.entries()) {
    if (grams === 0) continue;
    const dose = grams / design.batch.beer_l;
    const values = centralValues(model, lot);
    // As the effect takes them where nobody measured: the class, and its part of cysteinylated 3SH.
    const { parameters } = model;
    const place = (id: AnalyteId) => ANALYTES.indexOf(id);
    const g = place('g_sh3_mg_per_kg');
    const cys = place('cys_sh3_mg_per_kg');
    if (Number.isNaN(values.figures[g])) {
      values.figures[g] = parameters[`precursor.g_sh3.${lot.tendency}`].central;
    }
    if (Number.isNaN(values.figures[cys])) {
      values.figures[cys] = values.figures[g]! * parameters['precursor.cys_share'].central;
      values.perProduct[cys] = values.perProduct[g]!;
    }
    for (const analyte of TERMS) {
      if (!(values.figures[place(analyte)]! > 0)) continue;
      const { compounds } = effectOf(only(values, analyte), stage, process);
      const brought = compounds.map((ug, i) => {
        const group = model.compounds[COMPOUNDS[i]!].loadGroup;
        return dose * ug * (stage === 'dry_hop' ? loadFactor(group, load, world.values) : 1);
      });
      addCompounds(brought, statusOf(lot, analyte), a);
    }
    add(LEAF_DRIVER, dose * effectOf(values, stage, process).leaf, leafStatus);
  }
  return Object.fromEntries(
    AXES.map((axis, a) => {
      const whole = STATUSES.reduce((sum, s) => sum + sums[a]![s], 0);
      const shares = STATUSES.map((s) => [s, sums[a]![s] / whole]);
      return [axis, whole > 0 ? (Object.fromEntries(shares) as Resting) : null];
    }),
  ) as Record<AxisId, Resting | null>;
}
