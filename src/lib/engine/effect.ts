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
import { ageOf, oilComponentLeft, oilLossClasses, storedOf, type Stored } from './age.ts';
import type { Lot } from './composition.ts';
import { release } from './fermentation.ts';
import type { Model } from './model.ts';
import { closeOil } from './oil-parts.ts';
import type { Passage, Process } from './process.ts';

const MG_PER_G_PER_PCT = 10;

const ANALYTE_INDEX = Object.fromEntries(ANALYTES.map((a, i) => [a, i])) as Record<
  AnalyteId,
  number
>;
const ALPHA = ANALYTE_INDEX.alpha_pct;
const TOTAL_OIL = ANALYTE_INDEX.total_oil_ml_per_100g;
const G_SH3 = ANALYTE_INDEX.g_sh3_mg_per_kg;
const CYS_SH3 = ANALYTE_INDEX.cys_sh3_mg_per_kg;
const GERANIOL = COMPOUNDS.indexOf('geraniol');
const CITRONELLOL = COMPOUNDS.indexOf('citronellol');
const SH3 = COMPOUNDS.indexOf('sh3');
const SHA3 = COMPOUNDS.indexOf('sha3');
const COMPOUND_ANALYTE = COMPOUNDS.map((c) => ANALYTE_INDEX[analyteOf(c)]);
const IS_THIOL = COMPOUNDS.map(isThiol);

/** The figures of a lot as numbers, by analyte index; NaN where nobody gave one. */
export interface LotValues {
  readonly form: FormId;
  readonly tendency: Tendency;
  readonly figures: Float64Array;
  /** 1 where the figure was measured on the product itself (no form factor applies). */
  readonly perProduct: Uint8Array;
  /** How it was kept; `null`: fresh. */
  readonly stored: Stored | null;
}

/** The central figures of a lot, each as it is stated: the parts of its oil may exceed the whole. */
export function statedValues(model: Model, lot: Lot): LotValues {
  const { form, tendency } = lot;
  const figures = new Float64Array(ANALYTES.length);
  const perProduct = new Uint8Array(ANALYTES.length);
  for (let i = 0; i < figures.length; i += 1) {
    const figure = lot.figures[ANALYTES[i]!];
    figures[i] = figure ? figure.central : NaN;
    if (figure?.perProduct) perProduct[i] = 1;
  }
  return { form, tendency, figures, perProduct, stored: storedOf(model, lot) };
}

/** The central figures of a lot, the parts of its oil brought back to the whole. */
export function centralValues(model: Model, lot: Lot): LotValues {
  const values = statedValues(model, lot);
  closeOil(values.figures, 0, values.perProduct);
  return values;
}

/** Room for an effect, written anew for each lot. */
interface EffectFigures {
  /** ug/L by compound index. */
  readonly compounds: Float64Array;
  /** Leaf after the mash, g of type 90 equivalent per L. */
  leaf: number;
  /** mg/L alpha acids into the kettle from the mash. */
  alphaMash: number;
  /** mg/L alpha acids into the hot steep. */
  alphaSteep: number;
  /** mg/L humulinones into the beer. */
  humulinones: number;
  /** mg/L alpha acids into the beer from the dry hop, before the cap. */
  alphaDry: number;
  /** L of beer (or wort) held back per L of beer. */
  lost: number;
  phRise: number;
}
/** What 1 g per L of beer adds. For a dry hop, `compounds` is before `loadFactor`. */
export type Effect = Readonly<EffectFigures>;

/** A figure brought to the product: a variety's figure times the factor of the form. */
function inProduct(lot: LotValues, row: number, analyte: number, factor: number): number {
  return lot.figures[row + analyte]! * (lot.perProduct[analyte] ? 1 : factor);
}

/** Mass of each compound the lot carries free, ug per g of product as it is now, into `contents`; 0 where unknown. */
function fillContents(contents: Float64Array, lot: LotValues, row: number, process: Process): void {
  const { forms, oilMass } = process;
  const { concentration } = forms[lot.form];
  const oil = inProduct(lot, row, TOTAL_OIL, concentration) * oilMass;
  for (let i = 0; i < contents.length; i += 1) {
    const analyte = COMPOUND_ANALYTE[i]!;
    const content = IS_THIOL[i]
      ? inProduct(lot, row, analyte, concentration) / 1000
      : oil * lot.figures[row + analyte]!;
    contents[i] = Number.isNaN(content) ? 0 : content;
  }
  if (lot.stored) ageContents(contents, lot, lot.stored, process);
}

/** Takes from the oil components of a lot what storage has taken. */
function ageContents(
  contents: Float64Array,
  lot: LotValues,
  stored: Stored,
  { model, values }: Process,
): void {
  const age = ageOf(stored, values);
  const lossClasses = oilLossClasses(model, values);
  const oil = lot.perProduct[TOTAL_OIL] === 1;
  for (let i = 0; i < contents.length; i += 1) {
    if (IS_THIOL[i]) continue;
    const ofAnalysis = { oil, share: lot.perProduct[COMPOUND_ANALYTE[i]!] === 1 };
    contents[i]! *= oilComponentLeft(age, lossClasses[i]!, ofAnalysis);
  }
}

/** 3SH released from what the product holds bound, ug per g: measured where given, else by class. */
function releasedSh3(lot: LotValues, row: number, passage: Passage, process: Process): number {
  const { values, forms } = process;
  if (passage.release.cys === 0 && passage.release.g === 0) return 0;
  const { boundThiols } = forms[lot.form];
  const measured = inProduct(lot, row, G_SH3, boundThiols);
  const g = Number.isNaN(measured)
    ? values[`precursor.g_sh3.${lot.tendency}`] * boundThiols
    : measured;
  const measuredCys = inProduct(lot, row, CYS_SH3, boundThiols);
  const cys = Number.isNaN(measuredCys) ? g * values['precursor.cys_share'] : measuredCys;
  return cys * passage.release.cys + g * passage.release.g;
}

/** An empty effect, to be filled. */
export function blankEffect(): EffectFigures {
  return {
    compounds: new Float64Array(COMPOUNDS.length),
    leaf: 0,
    alphaMash: 0,
    alphaSteep: 0,
    humulinones: 0,
    alphaDry: 0,
    lost: 0,
    phRise: 0,
  };
}

/**
 * Writes into `effect` what 1 g of the lot per L of beer adds at a stage.
 * @param row where the lot's figures begin in `lot.figures`.
 */
export function fillEffect(
  effect: EffectFigures,
  lot: LotValues,
  row: number,
  stage: StageId,
  process: Process,
): void {
  const { values, forms } = process;
  const { compounds } = effect;
  const passage = process.passages[stage];
  fillContents(compounds, lot, row, process);
  const geraniol = compounds[GERANIOL]!;
  const sh3 = compounds[SH3]!;
  for (let i = 0; i < compounds.length; i += 1) compounds[i]! *= passage.left[i]!;
  const released = releasedSh3(lot, row, passage, process);
  compounds[CITRONELLOL]! += geraniol * passage.citronellol;
  compounds[SH3]! += released * process.acetylation.sh3;
  compounds[SHA3]! += sh3 * passage.sha3 + released * process.acetylation.sha3;

  const { concentration, leaf, lost } = forms[lot.form];
  const alphaPct = inProduct(lot, row, ALPHA, concentration);
  const age = ageOf(lot.stored, values);
  const left = Math.exp(-(lot.perProduct[ALPHA] ? age.analysis : age.harvest));
  const alpha = Number.isNaN(alphaPct) ? 0 : alphaPct * MG_PER_G_PER_PCT * left;
  const dry = stage === 'dry_hop';
  effect.leaf = stage === 'mash' ? 0 : leaf;
  effect.alphaMash = stage === 'mash' ? alpha * values['mash.alpha_to_kettle'] : 0;
  effect.alphaSteep = stage === 'hot_steep' ? alpha : 0;
  const extracted = dry ? process.dryHopExtraction : 0;
  effect.humulinones =
    values['dry_hop.humulinones'] *
    concentration *
    values['dry_hop.humulinone_transfer'] *
    extracted;
  effect.alphaDry = alpha * values['dry_hop.alpha_transfer'] * extracted;
  effect.lost = lost[stage];
  effect.phRise = dry ? values['ph.rise'] * leaf : 0;
}

/** What 1 g of the lot per L of beer adds at a stage. */
export function effectOf(lot: LotValues, stage: StageId, process: Process): Effect {
  const effect = blankEffect();
  fillEffect(effect, lot, 0, stage, process);
  return effect;
}

/** What the malt's own bound 3SH gives, ug/L by compound index. */
export function maltEffect({ batch, values, acetylation }: Process): Float64Array {
  const compounds = new Float64Array(COMPOUNDS.length);
  const released = release(batch.yeast, values);
  const cys = batch.malt_g_per_l * values['malt.cys_sh3'] * values['precursor.mash_release'];
  const g = batch.malt_g_per_l * values['malt.g_sh3'];
  const sh3 = cys * released.cys + g * released.g;
  compounds[SH3] = sh3 * acetylation.sh3;
  compounds[SHA3] = sh3 * acetylation.sha3;
  return compounds;
}
