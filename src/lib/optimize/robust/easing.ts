// Which one wish, widened how far, would let a blend hold in a share of draws. Of that blend this is exact: other
// blends may do with less, so it is enough and not proven to be needed.
import type { Eased } from '#shared/answers/answer.ts';
import { wishPath } from '#shared/answers/wish-subject.ts';
import { TOLERANCE } from '#optimize/problem/evaluation.ts';
import type { MissedFigure } from './judging.ts';

/** Widenings are rounded up to this part of an intensity. */
const SHOWN_STEP = 0.1;

/**
 * The wish that takes the least widening; `null` where none alone is enough.
 * @param enough draws in which the blend is to hold.
 */
export function easedFor(missed: readonly MissedFigure[], enough: number): Eased | null {
  const missedIn = (k: number) => missed.filter(({ by }) => by[k]! > TOLERANCE).length;
  const counts = Array.from(missed[0]?.by ?? [], (_, k) => missedIn(k));
  let eased: Eased | null = null;
  let least = Infinity;
  for (const { of, by, unit } of missed) {
    // Draws in which nothing else is missed, by how far this is.
    const alone = by.filter((miss, k) => counts[k] === (miss > TOLERANCE ? 1 : 0)).sort();
    const steps = Math.ceil((alone[enough - 1] ?? Infinity) / unit / SHOWN_STEP - TOLERANCE);
    if (steps >= least) continue;
    least = steps;
    eased = { wish: wishPath(of), by: Number((steps * SHOWN_STEP * unit).toFixed(1)) };
  }
  return eased;
}
