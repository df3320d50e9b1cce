// Where the points of a trade-off stand, both figures from a little below their least to their most. Between
// two points only a step is drawn, by the worse of the two: that much is known to be within reach.
import { scaleLinear } from 'd3';

export interface CurveFigure {
  readonly across: number;
  readonly upwards: number;
  /** Down to which the figure upwards may still come, where it is not proven. */
  readonly least?: number;
}

/** A place, as fractions of width and height from the upper left. */
export interface CurvePlace {
  readonly x: number;
  readonly y: number;
}

/** A point, and the height down to which it is open; `null` where it is proven. */
export interface CurvePoint extends CurvePlace {
  readonly open: number | null;
}

export interface CurveTick {
  readonly value: number;
  readonly at: number;
}

export interface Curve {
  readonly places: readonly CurvePoint[];
  /** The corners of the steps, point to point. */
  readonly steps: readonly (readonly [CurvePlace, CurvePlace])[];
  readonly across: readonly CurveTick[];
  readonly upwards: readonly CurveTick[];
}

const TICKS = 4;

/** A domain around some figures, never empty, never below 0. */
function domainOf(figures: readonly number[]): [number, number] {
  const low = Math.min(...figures);
  const high = Math.max(...figures);
  const room = Math.max((high - low) * 0.08, high * 0.01, 1e-6);
  return [Math.max(0, low - room), high + room];
}

/** The curve of points sorted from the left. */
export function curveOf(points: readonly CurveFigure[]): Curve {
  if (points.length === 0) return { places: [], steps: [], across: [], upwards: [] };
  const x = scaleLinear()
    .domain(domainOf(points.map((p) => p.across)))
    .range([0, 1]);
  const y = scaleLinear()
    .domain(domainOf(points.flatMap((p) => [p.upwards, p.least ?? p.upwards])))
    .range([1, 0]);
  const places = points.map(({ across, upwards, least }) => ({
    x: x(across),
    y: y(upwards),
    open: least === undefined ? null : y(least),
  }));
  const steps = places.slice(1).flatMap((to, i) => {
    const from = places[i]!;
    // Upwards is less on the screen.
    const corner = from.y <= to.y ? { x: to.x, y: from.y } : { x: from.x, y: to.y };
    return [[from, corner] as const, [corner, to] as const];
  });
  const ticks = (scale: typeof x) =>
    scale.ticks(TICKS).map((value) => ({ value, at: scale(value) }));
  return { places, steps, across: ticks(x), upwards: ticks(y) };
}
