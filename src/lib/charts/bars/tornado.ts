// The tornado chart: where bars lie about the central intensity, which unknowns are worth a bar, and
// what is said of the others. Both groups share one scale, so that they can be compared.
import { ticks } from 'd3';
import type { AxisDoubt, Swing } from '#shared/answers/doubt.ts';

/** Bars of one group: those a person can still take in. */
const BARS_MAX = 7;
/** Least width of a bar worth drawing, in intensity: a tenth of what can be told apart. */
const LEAST_SWING = 0.02;

export interface Bar {
  readonly swing: Swing;
  /** Fractions of the width. */
  readonly from: number;
  readonly to: number;
  /** Whether more of the unknown means less of the aroma. */
  readonly falls: boolean;
}

export interface BarGroup {
  readonly bars: readonly Bar[];
  /** Unknowns without a bar, and the widest change any of them makes. */
  readonly others: number;
  readonly others_at_most: number;
}

export interface TornadoLayout {
  readonly lab: BarGroup;
  readonly science: BarGroup;
  readonly centre: number;
  readonly ticks: readonly { readonly value: number; readonly at: number }[];
}

/** How far the axis moves between the two points of an unknown. */
export function widthOf({ at_low, at_high }: Pick<Swing, 'at_low' | 'at_high'>): number {
  return Math.abs(at_high - at_low);
}

/** Lays out the swings of an axis; the widest come first, as the engine ranks them. */
export function tornadoOf({ intensity, swings }: AxisDoubt): TornadoLayout {
  const chosen = (by: Swing['settled_by']) => {
    const all = swings.filter((s) => s.settled_by === by);
    const drawn = all.filter((s) => widthOf(s) >= LEAST_SWING).slice(0, BARS_MAX);
    return { drawn, rest: all.slice(drawn.length) };
  };
  const groups = { lab: chosen('lab'), science: chosen('science') };
  const ends = [...groups.lab.drawn, ...groups.science.drawn].flatMap((s) => [s.at_low, s.at_high]);
  const low = Math.min(intensity, ...ends);
  const high = Math.max(intensity, ...ends);
  const span = high > low ? high - low : 1;
  const place = (value: number) => (value - low) / span;
  const group = ({ drawn, rest }: { drawn: Swing[]; rest: Swing[] }): BarGroup => ({
    bars: drawn.map((swing) => ({
      swing,
      from: place(Math.min(swing.at_low, swing.at_high, intensity)),
      to: place(Math.max(swing.at_low, swing.at_high, intensity)),
      falls: swing.at_high < swing.at_low,
    })),
    others: rest.length,
    others_at_most: Math.max(0, ...rest.map(widthOf)),
  });
  return {
    lab: group(groups.lab),
    science: group(groups.science),
    centre: place(intensity),
    ticks: ticks(low, high, 4).map((value) => ({ value, at: place(value) })),
  };
}
