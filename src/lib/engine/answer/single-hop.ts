// What one variety gives alone: the same dose at each stage of one stated process, so that varieties and stages
// can be compared. It shows at which stage a hop gives most, not how a beer with it would taste.
import { AXES, COMPOUNDS, type AxisId, type CompoundId, type YeastId } from '#shared/ids.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import type { FormId } from '#shared/ids.ts';
import type { StageKind } from '#shared/stages/kinds.ts';
import { stagesOf } from '#shared/stages/stages.ts';
import { lotOf } from '#engine/lot/composition.ts';
import type { Design } from '#engine/predict/design.ts';
import type { Model } from '#engine/tables/model.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { SINGLE_HOP_DOSE_G_PER_L, SINGLE_HOP_PROCESS } from './alone.ts';

export type Intensities = Readonly<Record<AxisId, number>>;

export interface AtStage {
  readonly stage: StageKind;
  readonly intensities: Intensities;
  /**
   * Odour activity values that the hop adds, strongest first; compounds of which it adds nothing are left out.
   */
  readonly drivers: readonly { readonly compound: CompoundId; readonly oav: number }[];
}

export interface SingleHop {
  /** The beer without the hop: what the malt's own precursors give. */
  readonly without: Intensities;
  readonly stages: readonly AtStage[];
  /** For each axis that the hop brings noticeably, the stage that brings most of it. */
  readonly best: Readonly<Partial<Record<AxisId, StageKind>>>;
}

/** Least intensity that is named: just noticeable. */
const NOTICEABLE = 1;

/**
 * Predicts 4 g/L of a variety at each stage alone, with the default of every parameter.
 * @returns a failure when the table has nothing on the variety.
 */
export function singleHop(
  model: Model,
  hop: string,
  form: FormId,
  yeast: YeastId,
): Outcome<SingleHop> {
  const lot = lotOf(model, { hop, form });
  if (!lot.ok) return lot;
  const batch = { ...SINGLE_HOP_PROCESS.batch, yeast };
  const { stages } = SINGLE_HOP_PROCESS;
  const given = (additions: Design['additions']) =>
    predictPoint(model, { name: '', batch, stages, additions });
  const plain = given([]);
  const byAxis = (intensities: readonly number[]): Intensities =>
    Object.fromEntries(AXES.map((axis, i) => [axis, intensities[i]!])) as Intensities;
  const points = stagesOf(stages).map(({ kind: stage }) => ({
    stage,
    point: given([
      { lot: lot.value, stage, grams: SINGLE_HOP_DOSE_G_PER_L * SINGLE_HOP_PROCESS.batch.beer_l },
    ]),
  }));
  const jnd = 1 + model.parameters['aroma.jnd'].central;
  const best: Partial<Record<AxisId, StageKind>> = {};
  AXES.forEach((axis, i) => {
    const top = points.reduce((a, b) => (b.point.signals[i]! > a.point.signals[i]! ? b : a));
    const signal = top.point.signals[i]!;
    const noticed = top.point.intensities[i]! >= NOTICEABLE;
    if (noticed && signal >= jnd * plain.signals[i]!) best[axis] = top.stage;
  });
  return success({
    without: byAxis(plain.intensities),
    stages: points.map(({ stage, point }) => ({
      stage,
      intensities: byAxis(point.intensities),
      drivers: COMPOUNDS.map((compound, i) => ({
        compound,
        oav: (point.oavs[i] ?? 0) - (plain.oavs[i] ?? 0),
      }))
        .filter(({ oav }) => oav > 0)
        .sort((a, b) => b.oav - a.oav),
    })),
    best,
  });
}
