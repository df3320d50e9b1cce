// A figure of one hop among those of all varieties, on a strip of its own: what is usual, where this
// hop lies, how wide it varies. Log scale where the figures span more than a decade; a figure of 0
// stands at the left end.
import { scaleLinear, scaleLog } from 'd3';
import { quantileSorted } from 'simple-statistics';
import type { Interval } from '#shared/interval.ts';

/** The figures of the varieties together; `null` where too few are known to say what is usual. */
export interface Usual {
  readonly low: number;
  readonly middle: number;
  readonly high: number;
  /** The least and the most above zero. */
  readonly least: number;
  readonly most: number;
  /** Varieties with a figure of their own. */
  readonly count: number;
}

/** Fewer figures than this say nothing of what is usual. */
const ENOUGH = 5;

/** The middle 80 % of some figures. */
export function usualOf(figures: readonly number[]): Usual | null {
  if (figures.length < ENOUGH) return null;
  const sorted = [...figures].sort((a, b) => a - b);
  const above = sorted.filter((figure) => figure > 0);
  if (above.length === 0) return null;
  const [low, middle, high] = [0.1, 0.5, 0.9].map((p) => quantileSorted(sorted, p));
  return {
    low: low!,
    middle: middle!,
    high: high!,
    least: above[0]!,
    most: above.at(-1)!,
    count: sorted.length,
  };
}

export interface Strip {
  /** Fractions of the width. */
  readonly usual: { readonly from: number; readonly middle: number; readonly to: number } | null;
  readonly figure: { readonly from: number; readonly at: number; readonly to: number };
}

export function stripOf(figure: Interval, usual: Usual | null): Strip {
  const all = [figure.low, figure.central, figure.high];
  const above = all.filter((value) => value > 0);
  const least = Math.min(usual?.least ?? Infinity, ...above);
  const most = Math.max(usual?.most ?? 0, ...above);
  const scale =
    most > 10 * least
      ? scaleLog().domain([least, most]).range([0.02, 1]).clamp(true)
      : scaleLinear().domain([0, most]).range([0, 1]).clamp(true);
  const place = (value: number) => (value <= 0 || !(most > 0) ? 0 : scale(value));
  return {
    usual: usual && { from: place(usual.low), middle: place(usual.middle), to: place(usual.high) },
    figure: { from: place(figure.low), at: place(figure.central), to: place(figure.high) },
  };
}
