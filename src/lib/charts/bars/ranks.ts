// Varieties ranked by one figure: a bar each from zero, with its range. The scale ends a little past the
// longest bar, so that bars can be told apart; a range that goes on beyond it says so.
import { scaleLinear } from 'd3';
import type { Interval } from '#shared/interval.ts';

/** What the scale leaves free past the longest bar, as a fraction of it. */
const ROOM = 0.25;

export interface RankBar {
  /** Fractions of the width. */
  readonly to: number;
  readonly range: { readonly from: number; readonly to: number };
  /** Whether the range ends beyond the scale. */
  readonly beyond: boolean;
}

export interface Ranks {
  readonly bars: readonly RankBar[];
  /** Where marks of the scale stand, fractions of the width; those beyond its end are left out. */
  readonly marks: readonly { readonly value: number; readonly at: number }[];
}

/** @param marked values to mark, as the words of an intensity; else round ones of the scale. */
export function ranksOf(figures: readonly Interval[], marked?: readonly number[]): Ranks {
  const longest = Math.max(0, ...figures.map(({ central }) => central));
  const end = longest > 0 ? longest * (1 + ROOM) : 1;
  const scale = scaleLinear().domain([0, end]).range([0, 1]).clamp(true);
  const values = marked ?? scale.ticks(4).slice(1);
  return {
    bars: figures.map(({ low, central, high }) => ({
      to: scale(central),
      range: { from: scale(low), to: scale(high) },
      beyond: high > end,
    })),
    marks: values.filter((v) => v <= end).map((value) => ({ value, at: scale(value) })),
  };
}
