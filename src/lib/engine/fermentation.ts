// What yeast does to hop compounds: survival, geraniol to citronellol, glycosides, release of bound
// 3SH and its acetate. All amounts are ug per L of beer (or ug per g of hop: everything is linear).
import { COMPOUNDS, type StageId, type YeastId } from '#shared/ids.ts';
import type { Stages } from '#shared/schemas/brief.ts';
import type { Model, ParameterValues } from './model.ts';

const index = (compound: (typeof COMPOUNDS)[number]) => COMPOUNDS.indexOf(compound);
const LINALOOL = index('linalool');
const GERANIOL = index('geraniol');
const CITRONELLOL = index('citronellol');
const SH3 = index('sh3');
const SHA3 = index('sha3');

/** Bound 3SH at pitching, ug per L (or per g): cysteinylated and glutathionylated. */
export interface BoundSh3 {
  readonly cys: number;
  readonly g: number;
}

/**
 * 3SH the yeast sets free, ug, before any is acetylated: 0.606 Cys x_C + 0.329 G x_G.
 * Conversions: CHEN22 and MICH19, recalled, to an order of magnitude.
 */
export function releasedSh3(bound: BoundSh3, yeast: YeastId, values: ParameterValues): number {
  return (
    values['precursor.cys_to_sh3'] * bound.cys * values[`yeast.${yeast}.cys_release`] +
    values['precursor.g_to_sh3'] * bound.g * values[`yeast.${yeast}.g_release`]
  );
}

/** Adds 3SH present in fermentation, part of it as acetate (mole for mole). Changes `amounts`. */
export function addFermentedSh3(
  model: Model,
  amounts: Float64Array,
  sh3: number,
  values: ParameterValues,
): void {
  const share = values['yeast.acetate_share'];
  const massRatio = model.compounds.sha3.molarMass / model.compounds.sh3.molarMass;
  amounts[SH3]! += sh3 * (1 - share);
  amounts[SHA3]! += sh3 * share * massRatio;
}

/** Takes `lost` ug of geraniol and forms the citronellol it gives, mole for mole times the gain. */
function formCitronellol(
  model: Model,
  amounts: Float64Array,
  lost: number,
  values: ParameterValues,
): void {
  const massRatio = model.compounds.citronellol.molarMass / model.compounds.geraniol.molarMass;
  amounts[GERANIOL]! -= lost;
  amounts[CITRONELLOL]! += lost * values['ferment.citronellol_gain'] * massRatio;
}

/**
 * Carries hop compounds of one stage through fermentation, in place.
 * Mash: all survive as their class. Hot steep: only those whose yield is given to the wort, the
 * others are already hop-to-beer. Dry hop: geraniol alone, and only on live yeast (TAKOI14).
 */
export function ferment(
  model: Model,
  amounts: Float64Array,
  stage: StageId,
  stages: Stages,
  values: ParameterValues,
): void {
  if (stage === 'dry_hop') {
    if (!stages.dry_hop?.live_yeast) return;
    const loss = 1 - values['ferment.survival.geraniol'];
    const met = values['dry_hop.live_yeast_conversion'];
    formCitronellol(model, amounts, amounts[GERANIOL]! * loss * met, values);
    return;
  }
  let geraniolLost = 0;
  COMPOUNDS.forEach((compound, i) => {
    const { fermentClass, steepYieldTo } = model.compounds[compound];
    if (stage === 'hot_steep' && steepYieldTo === 'beer') return;
    const survival = values[`ferment.survival.${fermentClass}`];
    if (i === GERANIOL) geraniolLost = amounts[i]! * (1 - survival);
    else amounts[i]! *= survival;
    if (i === LINALOOL) amounts[i]! *= 1 + values['ferment.glycoside_gain'];
  });
  formCitronellol(model, amounts, geraniolLost, values);
  amounts[GERANIOL]! *= 1 + values['ferment.glycoside_gain'];
  const freeSh3 = amounts[SH3]!;
  amounts[SH3] = 0;
  addFermentedSh3(model, amounts, freeSh3, values);
}
