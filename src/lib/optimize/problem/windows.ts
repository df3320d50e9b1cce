// Between which figures a blend must lie: the window of a wish in intensity and in signal, that of the
// bitterness in IBU, and how both widen where no blend meets all wishes.
import type { Minimise, Wish } from '#shared/schemas/brief.ts';
import { intensityOf, signalOf } from '#engine/predict/smell.ts';
import type { ParameterValues } from '#engine/tables/model.ts';
import type { AxisRow, BitterRow, BlendProblem } from './problem.ts';

/** From `low` to `high`; infinite where a side is free. */
export interface Window {
  readonly low: number;
  readonly high: number;
}

/** IBU by which the bitterness window widens per intensity by which the wishes do. A judgement. */
export const IBU_PER_INTENSITY = 5;

/** Window of intensities of a wish. */
export function windowOf(wish: Wish): Window {
  const aimed = wish.aim !== undefined && wish.within !== undefined;
  return {
    low: Math.max(aimed ? wish.aim! - wish.within! : -Infinity, wish.at_least ?? -Infinity),
    high: Math.min(aimed ? wish.aim! + wish.within! : Infinity, wish.at_most ?? Infinity),
  };
}

/** The one figure a wish asks for: its aim, whatever is said of how far off it may be, or its edge. */
export function aimOf(wish: Wish): Window {
  return {
    low: Math.max(wish.aim ?? -Infinity, wish.at_least ?? -Infinity),
    high: Math.min(wish.aim ?? Infinity, wish.at_most ?? Infinity),
  };
}

/** What the search is held to by a wish: its window, or its aim where closeness is minimised. */
export function soughtBy(wish: Wish, minimise: Minimise): Window {
  return minimise === 'closest' ? aimOf(wish) : windowOf(wish);
}

/** A window of intensities as one of signals. */
export function signalsOf({ low, high }: Window, values: ParameterValues): Window {
  return {
    low: low <= 0 ? -Infinity : signalOf(low, values),
    high: high === Infinity ? Infinity : signalOf(Math.max(0, high), values),
  };
}

/** Signals an axis must lie between when wishes are widened by `slack` intensities. */
export function signalWindow(
  { values }: BlendProblem,
  { low, high, held }: AxisRow,
  slack: number,
): Window {
  const widened = held ? 0 : slack;
  return signalsOf({ low: low - widened, high: high + widened }, values);
}

interface WidenedWindows {
  readonly slack: number;
  readonly windows: readonly Window[];
}

const lastWindows = new WeakMap<BlendProblem, WidenedWindows>();

/** The windows of all axes; kept for the slack last asked for. */
export function windowsOf(problem: BlendProblem, slack: number): WidenedWindows['windows'] {
  let last = lastWindows.get(problem);
  if (last?.slack !== slack) {
    last = { slack, windows: problem.axes.map((row) => signalWindow(problem, row, slack)) };
    lastWindows.set(problem, last);
  }
  return last.windows;
}

/** IBU the bitterness must lie between when wishes are widened by `slack` intensities. */
export function bitterWindow(
  { atLeast = -Infinity, atMost = Infinity, held }: Pick<BitterRow, 'atLeast' | 'atMost' | 'held'>,
  slack: number,
): Window {
  const widened = held ? 0 : IBU_PER_INTENSITY * slack;
  return { low: atLeast - widened, high: atMost + widened };
}

/**
 * The problem with every wish widened by what nobody notices at its edge.
 * @param jnd just noticeable difference in concentration, a fraction.
 */
export function forgiving(problem: BlendProblem, jnd: number): BlendProblem {
  const { values } = problem;
  const moved = (edge: number, factor: number) =>
    Number.isFinite(edge) && edge > 0 ? intensityOf(signalOf(edge, values) * factor, values) : edge;
  const axes = problem.axes.map((row) => ({
    ...row,
    low: moved(row.low, 1 / (1 + jnd)),
    high: moved(row.high, 1 + jnd),
  }));
  return { ...problem, axes };
}
