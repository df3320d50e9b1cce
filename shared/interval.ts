// A figure with its doubt: low, central, high. Missing is `undefined`, never zero.

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
