// What yeast does to hop compounds: survival, geraniol to citronellol, glycosides, release of bound
// 3SH and its acetate. Everything is linear, so what is here are factors.
import { COMPOUNDS, type StageId, type YeastId } from '#shared/ids.ts';
import { FERMENT_CLASSES } from '#shared/schemas/tables.ts';
import type { Stages } from '#shared/schemas/brief.ts';
import { FROM_PITCHING, dryHopOnYeast, geraniolOnYeast } from './geraniol.ts';
import type { Model, ParameterValues } from './model.ts';

const index = (compound: (typeof COMPOUNDS)[number]) => COMPOUNDS.indexOf(compound);
const LINALOOL = index('linalool');
const GERANIOL = index('geraniol');
const SH3 = index('sh3');

/** Names of rows, made once: this runs for every draw of a band. */
const SURVIVAL = Object.fromEntries(
  FERMENT_CLASSES.map((c) => [c, `ferment.survival.${c}` as const]),
) as { readonly [C in (typeof FERMENT_CLASSES)[number]]: `ferment.survival.${C}` };

/** Bound 3SH at pitching, ug per L (or per g): cysteinylated and glutathionylated. */
export interface BoundSh3 {
  readonly cys: number;
  readonly g: number;
}

/** How 3SH present in fermentation divides: what stays 3SH, and the 3SHA it gives, ug per ug. */
export interface Acetylation {
  readonly sh3: number;
  readonly sha3: number;
}

/** Part of the 3SH becomes its acetate, mole for mole. */
export function acetylation(model: Model, values: ParameterValues): Acetylation {
  const share = values['yeast.acetate_share'];
  const massRatio = model.compounds.sha3.molarMass / model.compounds.sh3.molarMass;
  return { sh3: 1 - share, sha3: share * massRatio };
}

/**
 * 3SH the yeast sets free, ug per ug of bound 3SH at pitching, before any is acetylated:
 * 0.606 x_C of the cysteinylated, 0.329 x_G of the glutathionylated.
 * Conversions: CHEN22 and MICH19, recalled, to an order of magnitude.
 */
export function release(yeast: YeastId, values: ParameterValues): BoundSh3 {
  return {
    cys: values['precursor.cys_to_sh3'] * values[`yeast.${yeast}.cys_release`],
    g: values['precursor.g_to_sh3'] * values[`yeast.${yeast}.g_release`],
  };
}

/** What fermentation makes of compounds of one stage; all of it linear. */
export interface Fermentation {
  /** ug left of 1 ug, by compound index. */
  readonly left: Float64Array;
  /** ug of citronellol from 1 ug of geraniol. */
  readonly citronellol: number;
  /** ug of 3SHA from 1 ug of free 3SH. */
  readonly sha3: number;
}

/**
 * What fermentation makes of hop compounds of a stage.
 * Mash: all survive as their class. Hot steep: only those whose yield is given to the wort, the
 * others are already hop-to-beer. Dry hop: geraniol alone, and only on live yeast (TAKOI14).
 */
export function fermentation(
  model: Model,
  stage: StageId,
  stages: Stages,
  values: ParameterValues,
): Fermentation {
  const left = new Float64Array(COMPOUNDS.length).fill(1);
  const { dry_hop } = stages;
  if (stage === 'dry_hop') {
    if (!dry_hop?.live_yeast) return { left, citronellol: 0, sha3: 0 };
    const geraniol = geraniolOnYeast(model, dryHopOnYeast(dry_hop, values), values);
    left[GERANIOL] = geraniol.left;
    return { left, citronellol: geraniol.citronellol, sha3: 0 };
  }
  COMPOUNDS.forEach((compound, i) => {
    const { fermentClass, steepYieldTo } = model.compounds[compound];
    if (stage === 'hot_steep' && steepYieldTo === 'beer') return;
    left[i] = values[SURVIVAL[fermentClass]];
  });
  const { citronellol } = geraniolOnYeast(model, FROM_PITCHING, values);
  const glycosides = 1 + values['ferment.glycoside_gain'];
  if (stage === 'mash' || model.compounds.linalool.steepYieldTo === 'wort') {
    left[LINALOOL]! *= glycosides;
  }
  left[GERANIOL]! *= glycosides;
  const { sh3, sha3 } = acetylation(model, values);
  const free = left[SH3]!;
  left[SH3] = free * sh3;
  return { left, citronellol, sha3: free * sha3 };
}
