// Whether evidence and model can both be right. At the most probable scores, the distance of each observation
// from the model is known with its covariance. Where the distances on one note or one batch add up to more than
// the ranges and the noise allow, the two disagree, and the note or batch is named instead of widening a band.
import { AXES, type AxisId } from '#shared/ids.ts';
import { solvedBelow } from '#engine/doubt/cholesky.ts';
import type { Parts } from '#engine/doubt/parts.ts';
import { normalShare } from '#engine/doubt/scores.ts';
import type { LabId } from './evidence.ts';
import type { Posterior } from './fit.ts';

/** Chance that at least one place is named although nothing is wrong. */
const ALARM = 0.05;

export interface Disagreement {
  readonly at:
    | { readonly axis: AxisId }
    | { readonly batch: string }
    | { readonly batch: string; readonly lab: LabId };
  /** Whether the evidence lies above or below what the model can reach. */
  readonly side: 'above' | 'below';
  /**
   * Chance of a disagreement this large or larger if the ranges hold, corrected for how many places were looked
   * at.
   */
  readonly chance: number;
}

/** Notes and batches where evidence and model disagree, the least likely first. */
export function* disagreements(posterior: Posterior): Parts<Disagreement[]> {
  const { observations, curves, batches, pulls, root } = posterior;
  const n = observations.length;
  const places: { at: Disagreement['at']; isIn: (i: number) => boolean }[] = [
    ...AXES.map((axis) => ({
      at: { axis },
      isIn: (i: number) => {
        const { of } = curves[observations[i]!.curve]!;
        return 'axis' in of && of.axis === axis;
      },
    })),
    ...batches.map(({ of: { id } }, b) => ({
      at: { batch: id },
      isIn: (i: number) => {
        const { batch, of } = curves[observations[i]!.curve]!;
        return batch === b && 'axis' in of;
      },
    })),
    ...curves.flatMap(({ batch, of }, c) =>
      'lab' in of
        ? [
            {
              at: { batch: batches[batch]!.of.id, lab: of.lab },
              isIn: (i: number) => observations[i]!.curve === c,
            },
          ]
        : [],
    ),
  ];
  const looked: (Pick<Disagreement, 'at' | 'side'> & { readonly alone: number })[] = [];
  for (const { at, isIn } of places) {
    yield;
    const members = Float64Array.from({ length: n }, (_, i) => (isIn(i) ? 1 : 0));
    if (!members.some((m) => m > 0)) continue;
    const sum = pulls.reduce((all, pull, i) => all + pull * members[i]!, 0);
    const variance = solvedBelow(root, n, members).reduce((all, x) => all + x * x, 0);
    const alone = 2 * normalShare(-Math.abs(sum) / Math.sqrt(variance));
    looked.push({ at, side: sum > 0 ? 'above' : 'below', alone });
  }
  return looked
    .map(({ alone, ...rest }) => ({ ...rest, chance: Math.min(1, alone * looked.length) }))
    .filter(({ chance }) => chance < ALARM)
    .sort((a, b) => a.chance - b.chance);
}
