// What every variety gives alone on every axis, with its band and the status of most of its evidence: the
// figures by which varieties are ranked.
import { AXES, STATUSES, type AxisId, type Status } from '#shared/ids.ts';
import type { GramsPerLitre } from '#shared/units.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import { aloneInDryHop } from '#engine/answer/alone.ts';
import { bandOf, DEFAULT_SAMPLING, lentSample } from '#engine/doubt/bands.ts';
import { designOf } from '#engine/predict/design.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import type { Model } from '#engine/tables/model.ts';
import { axisEvidence } from './axis-evidence.ts';

/** An axis of a beer with one hop. */
export interface RankedAxis {
  readonly intensity: number;
  /** 10-90 % band. */
  readonly low: number;
  readonly high: number;
  /** The status behind the largest share of it; `null` where the variety brings nothing of the axis. */
  readonly status: Status | null;
}

/** What a variety gives alone on every axis; a failure where the table has nothing on it. */
export function rankedAxes(
  model: Model,
  hop: string,
  gPerL?: GramsPerLitre,
): Outcome<Readonly<Record<AxisId, RankedAxis>>> {
  const design = designOf(model, aloneInDryHop(hop, gPerL));
  if (!design.ok) return design;
  const point = predictPoint(model, design.value);
  const sample = lentSample(model, design.value, DEFAULT_SAMPLING);
  const resting = axisEvidence(model, design.value);
  const axes = AXES.map((axis, i) => {
    const shares = resting[axis];
    const status = shares && STATUSES.reduce((a, b) => (shares[b] > shares[a] ? b : a));
    const band = bandOf(sample.intensities[i]!);
    return [axis, { intensity: point.intensities[i]!, ...band, status }];
  });
  return success(Object.fromEntries(axes) as Record<AxisId, RankedAxis>);
}
