// Where along the doses of one addition a blend is predicted, and how figures between these doses are
// interpolated. So the page can follow a dragged dose without asking for a prediction at each move.
import type { PointBlend } from '#shared/answers/answer.ts';

/** Most doses predicted; each takes the worker about a millisecond. */
export const DOSES_AT_MOST = 64;

/** A step for dragging: 1, 2 or 5 times a power of ten, about a two-hundredth of `most`. */
export function handStep(most: number): number {
  const size = 10 ** Math.floor(Math.log10(most / 200));
  return [1, 2, 5, 10].map((times) => times * size).find((step) => most / step <= 200)!;
}

/**
 * Doses from 0 to `most` at which a blend is predicted: every step where there are few, else evenly spaced.
 * @param step by which a drag changes the dose, above 0.
 */
export function dosesAlong(most: number, step: number): number[] {
  const steps = Math.ceil(most / step - 1e-9);
  const parts = Math.min(steps, DOSES_AT_MOST - 1);
  return Array.from({ length: parts + 1 }, (_, i) => (steps * step * i) / parts);
}

type AnswerPart = { readonly [name: string]: unknown };

/**
 * Interpolates every number between two answers of the same shape; `share` is the way from one to the other, 0
 * to 1.
 */
function between(from: unknown, to: unknown, share: number): unknown {
  if (typeof from === 'number' && typeof to === 'number') return from + (to - from) * share;
  const nearer = share < 0.5 ? from : to;
  if (typeof from !== 'object' || typeof to !== 'object' || !from || !to) return nearer;
  if (Array.isArray(from) || Array.isArray(to)) {
    if (!Array.isArray(from) || !Array.isArray(to) || from.length !== to.length) return nearer;
    return from.map((one, i) => between(one, to[i], share));
  }
  const [a, b] = [from as AnswerPart, to as AnswerPart];
  return Object.fromEntries(
    Object.keys(nearer as AnswerPart).map((name) => [name, between(a[name], b[name], share)]),
  );
}

/** The blend at a dose: as predicted there, else interpolated linearly between its neighbours. */
export function pointAt(
  doses: readonly number[],
  points: readonly PointBlend[],
  grams: number,
): PointBlend | null {
  const after = doses.findIndex((dose) => dose >= grams - 1e-9);
  const to = points[after];
  if (!to) return points.at(-1) ?? null;
  const from = points[after - 1];
  const [low, high] = [doses[after - 1], doses[after]!];
  if (!from || low === undefined || high - grams <= 1e-9) return to;
  return between(from, to, (grams - low) / (high - low)) as PointBlend;
}
