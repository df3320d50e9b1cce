// The conditions of a design under one set of parameter values, as factors: how each stage carries
// what a hop holds into the beer, what a form does to the figures of a variety. Linear and the same for
// every lot, so computed once and used for all of them.
import { COMPOUNDS, type FormId, type StageId } from '#shared/ids.ts';
import type { Batch, Stages } from '#shared/schemas/brief.ts';
import { LOAD_GROUPS } from '#shared/schemas/tables.ts';
import {
  acetylation,
  fermentation,
  release,
  type Acetylation,
  type BoundSh3,
  type Fermentation,
} from './fermentation.ts';
import type { Model, ParameterValues } from './model.ts';
import { dryHopExtraction, stageYields } from './transfer.ts';

/** Concentration of a hop in ug/g from total oil in mL/100 g and a share in % of oil. */
const UG_PER_G_OF_OIL_SHARE = 100;
const GERANIOL = COMPOUNDS.indexOf('geraniol');
const SH3 = COMPOUNDS.indexOf('sh3');

/** How a stage carries what a hop holds into the beer: linear, the same for every lot. */
export interface Passage extends Fermentation {
  /** ug of 3SH, before any is acetylated, from 1 ug bound in the hop. */
  readonly release: BoundSh3;
}

/** What a form does to the figures of a variety, and what comes with it. */
interface FormFactors {
  readonly concentration: number;
  readonly boundThiols: number;
  /** g of type 90 equivalent per g. */
  readonly leaf: number;
  /** L of beer held back per g of hop, by stage. */
  readonly lost: Readonly<Record<StageId, number>>;
}

/** The conditions of a design under one set of parameter values: computed once, used per lot. */
export interface Process {
  readonly model: Model;
  readonly batch: Batch;
  readonly stages: Stages;
  readonly values: ParameterValues;
  readonly passages: Readonly<Record<StageId, Passage>>;
  readonly forms: Readonly<Record<FormId, FormFactors>>;
  /** Index of each compound's load group. */
  readonly loadGroups: readonly number[];
  readonly acetylation: Acetylation;
  /** Part of their final level that bitter acids and polyphenols of the dry hop have reached. */
  readonly dryHopExtraction: number;
  /** ug of oil per g of hop and mL/100 g, in % of oil. */
  readonly oilMass: number;
}

export function processOf(
  model: Model,
  batch: Batch,
  stages: Stages,
  values: ParameterValues,
): Process {
  const passage = (stage: StageId) => passageOf(model, batch, stages, stage, values);
  const form = (id: FormId): FormFactors => ({
    concentration: values[`form.${id}.concentration`],
    boundThiols: values[`form.${id}.bound_thiols`],
    leaf: values[`form.${id}.leaf`],
    lost: {
      mash: values['loss.mash'] / 1000,
      hot_steep: values['loss.hot_steep'] / 1000,
      dry_hop: values[`loss.dry_hop.${id}`] / 1000,
    },
  });
  return {
    model,
    batch,
    stages,
    values,
    passages: {
      mash: passage('mash'),
      hot_steep: passage('hot_steep'),
      dry_hop: passage('dry_hop'),
    },
    forms: {
      pellet_90: form('pellet_90'),
      pellet_enriched: form('pellet_enriched'),
      cone: form('cone'),
    },
    loadGroups: COMPOUNDS.map((c) => LOAD_GROUPS.indexOf(model.compounds[c].loadGroup)),
    acetylation: acetylation(model, values),
    dryHopExtraction: stages.dry_hop ? dryHopExtraction(stages.dry_hop, values) : 0,
    oilMass: values['oil.density'] * values['oil.area_to_mass'] * UG_PER_G_OF_OIL_SHARE,
  };
}

/** Yield, then fermentation; bound 3SH is kept, gains in the mash, and is released by the yeast. */
function passageOf(
  model: Model,
  { yeast }: Batch,
  stages: Stages,
  stage: StageId,
  values: ParameterValues,
): Passage {
  const yields = stageYields(model, stage, stages, values);
  const { left, citronellol, sha3 } = fermentation(model, stage, stages, values);
  for (let i = 0; i < left.length; i += 1) left[i]! *= yields[i]!;
  const kept = boundAtPitching(stage, stages, values);
  const released = release(yeast, values);
  return {
    left,
    citronellol: citronellol * yields[GERANIOL]!,
    sha3: sha3 * yields[SH3]!,
    release: { cys: kept.cys * released.cys, g: kept.g * released.g },
  };
}

/** Bound 3SH that reaches the fermenter, per bound in the hop: boil survival, gain in the mash. */
function boundAtPitching(stage: StageId, stages: Stages, values: ParameterValues): BoundSh3 {
  if (stage === 'dry_hop') return { cys: 0, g: 0 };
  if (stage === 'hot_steep') {
    const kept = values['precursor.survival.hot_steep'];
    return { cys: kept, g: kept };
  }
  const kept = values['precursor.survival.mash'] ** ((stages.mash?.boil_minutes ?? 0) / 60);
  return { cys: kept * values['precursor.mash_release'], g: kept };
}
