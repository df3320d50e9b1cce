// Where the points of a trade-off stand: weight across, the other figure upwards, both from a little
// below their least to their most. Between two points only a step is drawn: it is what is proven.
import { scaleLinear } from 'd3';

export interface CurveFigure {
  readonly weight: number;
  readonly other: number;
}

/** A place, as fractions of width and height from the upper left. */
export interface CurvePlace {
  readonly x: number;
  readonly y: number;
}

export interface CurveTick {
  readonly value: number;
  readonly at: number;
}

export interface Curve {
  readonly places: readonly CurvePlace[];
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

/** The curve of points sorted from the lightest. */
export function curveOf(points: readonly CurveFigure[]): Curve {
  if (points.length === 0) return { places: [], steps: [], across: [], upwards: [] };
  const x = scaleLinear()
    .domain(domainOf(points.map((p) => p.weight)))
    .range([0, 1]);
  const y = scaleLinear()
    .domain(domainOf(points.map((p) => p.other)))
    .range([1, 0]);
  const places = points.map((p) => ({ x: x(p.weight), y: y(p.other) }));
  const steps = places.slice(1).flatMap((to, i) => {
    const from = places[i]!;
    const corner = { x: to.x, y: from.y };
    return [[from, corner] as const, [corner, to] as const];
  });
  const ticks = (scale: typeof x) =>
    scale.ticks(TICKS).map((value) => ({ value, at: scale(value) }));
  return { places, steps, across: ticks(x), upwards: ticks(y) };
}
