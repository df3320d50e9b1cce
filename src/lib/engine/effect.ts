// What one gram of a lot does at one stage, per litre of beer, and what the malt brings by itself.
// Everything here is linear in grams; the prediction sums it, the optimizer uses it as its columns.
import {
  ANALYTES,
  COMPOUNDS,
  analyteOf,
  isThiol,
  type AnalyteId,
  type FormId,
  type StageId,
  type Tendency,
} from '#shared/ids.ts';
import type { Batch, Stages } from '#shared/schemas/brief.ts';
import type { Lot } from './composition.ts';
import { addFermentedSh3, ferment, releasedSh3, type BoundSh3 } from './fermentation.ts';
import type { Model, ParameterValues } from './model.ts';
import { stageYields } from './transfer.ts';

/** Concentration of a hop in ug/g from total oil in mL/100 g and a share in % of oil. */
const UG_PER_G_OF_OIL_SHARE = 100;
const MG_PER_G_PER_PCT = 10;

const ANALYTE_INDEX = Object.fromEntries(ANALYTES.map((a, i) => [a, i])) as Record<
  AnalyteId,
  number
>;
const COMPOUND_ANALYTE = COMPOUNDS.map((c) => ANALYTE_INDEX[analyteOf(c)]);
const IS_THIOL = COMPOUNDS.map(isThiol);

/** The figures of a lot as numbers, by analyte index; NaN where nobody gave one. */
export interface LotValues {
  readonly form: FormId;
  readonly tendency: Tendency;
  readonly figures: Float64Array;
  /** 1 where the figure was measured on the product itself (no form factor applies). */
  readonly perProduct: Uint8Array;
}

/** The central figures of a lot. */
export function centralValues(lot: Lot): LotValues {
  return {
    form: lot.form,
    tendency: lot.tendency,
    figures: Float64Array.from(ANALYTES, (a) => lot.figures[a]?.central ?? NaN),
    perProduct: Uint8Array.from(ANALYTES, (a) => (lot.figures[a]?.perProduct ? 1 : 0)),
  };
}

/** The conditions of a design under one set of parameter values: computed once, used per lot. */
export interface Process {
  readonly model: Model;
  readonly batch: Batch;
  readonly stages: Stages;
  readonly values: ParameterValues;
  readonly yields: Readonly<Record<StageId, Float64Array>>;
}

export function processOf(
  model: Model,
  batch: Batch,
  stages: Stages,
  values: ParameterValues,
): Process {
  const yields = {
    mash: stageYields(model, 'mash', stages, values),
    hot_steep: stageYields(model, 'hot_steep', stages, values),
    dry_hop: stageYields(model, 'dry_hop', stages, values),
  };
  return { model, batch, stages, values, yields };
}

/** What 1 g per L of beer adds. For a dry hop, `compounds` is before `loadFactor`. */
export interface Effect {
  /** ug/L by compound index. */
  readonly compounds: Float64Array;
  /** Leaf after the mash, g of type 90 equivalent per L. */
  readonly leaf: number;
  /** mg/L alpha acids into the kettle from the mash. */
  readonly alphaMash: number;
  /** mg/L alpha acids into the hot steep. */
  readonly alphaSteep: number;
  /** mg/L humulinones into the beer. */
  readonly humulinones: number;
  /** mg/L alpha acids into the beer from the dry hop, before the cap. */
  readonly alphaDry: number;
  /** L of beer (or wort) held back per L of beer. */
  readonly lost: number;
  readonly phRise: number;
}

/** Mass of each compound the lot carries free, ug per g of product; 0 where unknown. */
export function contentsUgPerG(lot: LotValues, { values }: Process): Float64Array {
  const concentration = values[`form.${lot.form}.concentration`];
  const factor = (analyte: number) => (lot.perProduct[analyte] ? 1 : concentration);
  const oilIndex = ANALYTE_INDEX.total_oil_ml_per_100g;
  const oil = lot.figures[oilIndex]! * factor(oilIndex);
  const oilMass = oil * values['oil.density'] * values['oil.area_to_mass'] * UG_PER_G_OF_OIL_SHARE;
  const contents = new Float64Array(COMPOUNDS.length);
  for (let i = 0; i < contents.length; i += 1) {
    const analyte = COMPOUND_ANALYTE[i]!;
    const figure = lot.figures[analyte]!;
    const content = IS_THIOL[i] ? (figure * factor(analyte)) / 1000 : oilMass * figure;
    contents[i] = Number.isNaN(content) ? 0 : content;
  }
  return contents;
}

/** Bound 3SH of the product, ug per g (= mg/kg): measured where given, else by class. */
export function boundSh3UgPerG(lot: LotValues, { values }: Process): BoundSh3 {
  const formFactor = values[`form.${lot.form}.bound_thiols`];
  const measured = (analyte: number) =>
    lot.figures[analyte]! * (lot.perProduct[analyte] ? 1 : formFactor);
  const g = measured(ANALYTE_INDEX.g_sh3_mg_per_kg);
  const cys = measured(ANALYTE_INDEX.cys_sh3_mg_per_kg);
  const gOrClass = Number.isNaN(g) ? values[`precursor.g_sh3.${lot.tendency}`] * formFactor : g;
  return {
    g: gOrClass,
    cys: Number.isNaN(cys) ? gOrClass * values['precursor.cys_share'] : cys,
  };
}

/** Bound 3SH that reaches the fermenter: extraction and boil survival, gain in the mash. */
function boundAtPitching(bound: BoundSh3, stage: StageId, process: Process): BoundSh3 {
  const { values, stages } = process;
  if (stage === 'dry_hop') return { cys: 0, g: 0 };
  if (stage === 'hot_steep') {
    const kept = values['precursor.survival.hot_steep'];
    return { cys: bound.cys * kept, g: bound.g * kept };
  }
  const kept = values['precursor.survival.mash'] ** ((stages.mash?.boil_minutes ?? 0) / 60);
  return { cys: bound.cys * kept * values['precursor.mash_release'], g: bound.g * kept };
}

/** What 1 g of the lot per L of beer adds at a stage. */
export function effectOf(lot: LotValues, stage: StageId, process: Process): Effect {
  const { model, values, batch, stages, yields } = process;
  const compounds = contentsUgPerG(lot, process);
  const yielded = yields[stage];
  for (let i = 0; i < compounds.length; i += 1) compounds[i]! *= yielded[i]!;
  ferment(model, compounds, stage, stages, values);
  const bound = boundAtPitching(boundSh3UgPerG(lot, process), stage, process);
  addFermentedSh3(model, compounds, releasedSh3(bound, batch.yeast, values), values);

  const concentration = values[`form.${lot.form}.concentration`];
  const alphaIndex = ANALYTE_INDEX.alpha_pct;
  const alphaPct = lot.figures[alphaIndex]! * (lot.perProduct[alphaIndex] ? 1 : concentration);
  const alpha = Number.isNaN(alphaPct) ? 0 : alphaPct * MG_PER_G_PER_PCT;
  const leaf = values[`form.${lot.form}.leaf`];
  const dry = stage === 'dry_hop';
  return {
    compounds,
    leaf: stage === 'mash' ? 0 : leaf,
    alphaMash: stage === 'mash' ? alpha * values['mash.alpha_to_kettle'] : 0,
    alphaSteep: stage === 'hot_steep' ? alpha : 0,
    humulinones: dry
      ? values['dry_hop.humulinones'] * concentration * values['dry_hop.humulinone_transfer']
      : 0,
    alphaDry: dry ? alpha * values['dry_hop.alpha_transfer'] : 0,
    lost: values[dry ? (`loss.dry_hop.${lot.form}` as const) : (`loss.${stage}` as const)] / 1000,
    phRise: dry ? values['ph.rise'] * leaf : 0,
  };
}

/** What the malt's own bound 3SH gives, ug/L by compound index. */
export function maltEffect({ model, batch, values }: Process): Float64Array {
  const compounds = new Float64Array(COMPOUNDS.length);
  const bound = {
    cys: batch.malt_g_per_l * values['malt.cys_sh3'] * values['precursor.mash_release'],
    g: batch.malt_g_per_l * values['malt.g_sh3'],
  };
  addFermentedSh3(model, compounds, releasedSh3(bound, batch.yeast, values), values);
  return compounds;
}
