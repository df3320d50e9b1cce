// A figure with its doubt: low, central, high, and in how many decimals it is written. Missing is `undefined`, never
// zero.

/** `low <= central <= high`, all in the same unit. */
export interface Interval {
  readonly low: number;
  readonly central: number;
  readonly high: number;
}

/**
 * Widens a figure that was given without a range (or with a narrower one) to at least
 * `central * (1 -/+ share)`. `share` is a fraction, 0 to 1.
 */
export function widen(interval: Interval, share: number): Interval {
  return {
    low: Math.min(interval.low, interval.central * (1 - share)),
    central: interval.central,
    high: Math.max(interval.high, interval.central * (1 + share)),
  };
}

/** Most decimals a doubtful figure is written in. */
const DECIMALS_MOST = 6;

/**
 * Decimals in which a doubtful figure and the ends of its range are written alike: two digits of the largest of them,
 * since the range is wider than any further digit. 0.63, 0.50 to 0.79; 9, 5 to 13; 142, 118 to 170.
 */
export function decimalsAlike(figures: readonly (number | null | undefined)[]): number {
  const largest = Math.max(0, ...figures.map((figure) => Math.abs(figure ?? 0)));
  const places = largest > 0 ? Math.max(0, 1 - Math.floor(Math.log10(largest))) : 0;
  return Math.min(places, DECIMALS_MOST);
}
