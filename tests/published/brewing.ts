// Beers of one or a few hops, brewed in the model, as the published trials were: what reaches the
// beer, and how much of it. Uses only what every caller of the engine may use.
import { designOf } from '#engine/predict/design.ts';
import { defaultValues, model, type ParameterValues } from '#engine/tables/model.ts';
import type { Point } from '#engine/predict/predict.ts';
import { predictIn, worldOf } from '../engine/support/numbers.ts';
import { COMPOUNDS, analyteOf, type CompoundId, type FormId, type YeastId } from '#shared/ids.ts';
import { type StageKind } from '#shared/stages/kinds.ts';
import { scheduleSchema } from '#shared/schemas/brief.ts';
import type { Analysis } from '#shared/schemas/lot.ts';
import { DOSE_G_PER_L_MAX } from '#shared/schemas/sizes.ts';
import { type Stages } from '#shared/stages/stages.ts';

export const values = defaultValues(model);
/** ug of an oil compound in 1 g of a hop with 1 mL/100 g of oil and 1 % of the compound in it. */
const UG_PER_G = 100 * values['oil.density'] * values['oil.area_to_mass'];

export interface Trial {
  readonly hop?: string;
  readonly form?: FormId;
  readonly stage: StageKind;
  readonly dose: number;
  readonly stages: Stages;
  readonly analysis?: Analysis;
  readonly malt?: number;
  readonly yeast?: YeastId;
  readonly change?: Partial<ParameterValues>;
}

/** The beer of one hop at `dose` g/L; without malt unless it is given. */
export function brew(trial: Trial): Point {
  const { hop = 'Trial hop', form = 'pellet_90', stage, dose, stages, analysis } = trial;
  const { malt = 0, yeast = 'standard' } = trial;
  const schedule = scheduleSchema.parse({
    name: 'trial',
    batch: { beer_l: 1, yeast, malt_g_per_l: malt },
    stages,
    additions: [{ hop, form, stage, grams: dose, analysis }],
  });
  const design = designOf(model, schedule);
  if (!design.ok) throw new Error(JSON.stringify(design.problems));
  return predictIn(design.value, worldOf(trial.change ?? {}));
}

export function ugPerL(point: Point, compound: CompoundId): number {
  return point.compounds[COMPOUNDS.indexOf(compound)]!;
}

/** Fraction of an oil compound of the hop that is in the beer. */
export function transferred(compound: CompoundId, trial: Trial): number {
  const analysis: Analysis = { total_oil_ml_per_100g: 1, [analyteOf(compound)]: 1 };
  return ugPerL(brew({ ...trial, analysis }), compound) / (trial.dose * UG_PER_G);
}

/** Fraction of the alpha acids of a dry hop that is in the beer: what the bitterness lacks without it. */
export function alphaTransferred(trial: Trial, alphaPct: number): number {
  const dosed = { ...trial, analysis: { ...trial.analysis, alpha_pct: alphaPct } };
  const without = { ...trial.change, 'dry_hop.alpha_transfer': 0 };
  const ibu = brew(dosed).totals.ibu - brew({ ...dosed, change: without }).totals.ibu;
  const mgPerL = ibu / values['ibu.weight.alpha'];
  return mgPerL / (trial.dose * alphaPct * 10);
}

/** Central figure of a variety of the table; throws where there is none. */
export function tableFigure(
  hop: string,
  analyte: 'alpha_pct' | 'total_oil_ml_per_100g' | 'sh3_ug_per_kg',
): number {
  const cell = model.hops.find(({ name }) => name === hop)?.cells[analyte];
  if (!cell) throw new Error(`${hop} has no ${analyte}`);
  return cell.central;
}

/** The dose, g/L, at which the beer holds `target` ug/L; by bisection up to the largest dose taken. */
export function doseFor(target: number, concentration: (dose: number) => number): number {
  let [low, high] = [0, DOSE_G_PER_L_MAX];
  for (let i = 0; i < 60; i += 1) {
    const middle = (low + high) / 2;
    if (concentration(middle) < target) low = middle;
    else high = middle;
  }
  return high;
}
