// Every variety of the table alone in one stated dry hop: how strongly it smells of each axis, with the
// band of the doubt. Beside single-hop.ts, which takes one variety through every stage.
import { AXES, type AxisId } from '#shared/ids.ts';
import type { Band } from '#shared/answers/answer.ts';
import type { Stages } from '#shared/schemas/stages.ts';
import type { Hop } from '#shared/schemas/tables.ts';
import { lotOf } from '#engine/lot/composition.ts';
import type { Model } from '#engine/tables/model.ts';
import { bandOf, DEFAULT_SAMPLING, sampleDesign } from '#engine/doubt/bands.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import type { Sampling } from '#engine/doubt/sampling.ts';

/** Dose unless another is asked for, g of type 90 per L. */
export const TABLE_DOSE_G_PER_L = 4;

/** The beer every variety is tried in: a usual ale, dry-hopped after the fermentation. Our choice. */
export const TABLE_BATCH = { beer_l: 20, yeast: 'standard', malt_g_per_l: 210 } as const;
export const TABLE_STAGES = {
  dry_hop: { temp_c: 16, hours: 96, mixed: false, live_yeast: false },
} as const satisfies Stages;

export interface HopAlone {
  readonly hop: Hop;
  /** Whether it takes part in a design. */
  readonly offered: boolean;
  /** `null` where nothing is known to predict from. */
  readonly axes: Readonly<Record<AxisId, Band & { readonly intensity: number }>> | null;
}

/** One variety alone, as type 90 in the dry hop. */
export function hopAlone(model: Model, hop: Hop, doseGPerL: number, sampling: Sampling): HopAlone {
  const offered = hop.missing.length === 0;
  const lot = lotOf(model, { hop: hop.name, form: 'pellet_90' });
  if (!lot.ok) return { hop, offered, axes: null };
  const grams = doseGPerL * TABLE_BATCH.beer_l;
  const additions = [{ lot: lot.value, stage: 'dry_hop', grams }] as const;
  const design = { name: '', batch: TABLE_BATCH, stages: TABLE_STAGES, additions };
  const point = predictPoint(model, design);
  const sample = sampleDesign(model, design, sampling);
  const axes = Object.fromEntries(
    AXES.map((axis, i) => [
      axis,
      { intensity: point.intensities[i]!, ...bandOf(sample.intensities[i]!) },
    ]),
  ) as HopAlone['axes'];
  return { hop, offered, axes };
}

/** The whole table, variety by variety, in its order. */
export function wholeTable(
  model: Model,
  doseGPerL = TABLE_DOSE_G_PER_L,
  sampling: Sampling = DEFAULT_SAMPLING,
): HopAlone[] {
  return model.hops.map((hop) => hopAlone(model, hop, doseGPerL, sampling));
}
