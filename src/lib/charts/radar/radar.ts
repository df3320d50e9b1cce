// Where things stand on the radar: axes around a hub, straight lines between them, intensity
// outwards. Zero lies on the hub's rim, not in its centre, so that ten handles at zero stay apart.
// Pure geometry in SVG units around (0, 0); nothing here knows what is drawn or how. It is part of the
// first view, so that a few lines of arithmetic stand here for a library of scales.
import { AXES, type AxisId } from '#shared/ids.ts';
import type { HandledWish } from '#state/documents/wish.ts';

export interface Radar {
  readonly hub: number;
  readonly radius: number;
  /** Intensity at the rim. */
  readonly max: number;
  /** Distance from the centre at which an intensity stands, on the rim where it lies beyond. */
  readonly scale: (intensity: number) => number;
}

/** Words of the intensity scale, drawn as rings. */
export const INTENSITY_RINGS = [
  { value: 1, label: 'just noticeable' },
  { value: 2.5, label: 'clear' },
  { value: 4, label: 'strong' },
  { value: 6, label: 'dominant' },
] as const;
/** The same in words, none parted from its figure. */
export const RING_WORDS = INTENSITY_RINGS.map(({ value, label }) => `${value}\u00A0${label}`).join(
  ', ',
);

/** The word for an intensity: the highest ring reached. */
export function intensityWord(intensity: number): string {
  const reached = INTENSITY_RINGS.filter((r) => intensity >= r.value).at(-1);
  return reached?.label ?? 'not noticeable';
}

const RIMS = [5, 7];
const FULL_MAX = 10;

/** The nearest rim that all values lie within, so that handles have the room there is. */
export function rimFor(values: Iterable<number>): number {
  const most = Math.max(...values);
  return RIMS.find((rim) => most < rim) ?? FULL_MAX;
}

export function radarOf(radius: number, hub: number, max: number): Radar {
  const scale = (intensity: number) =>
    hub + (radius - hub) * Math.min(1, Math.max(0, intensity / max));
  return { hub, radius, max, scale };
}

/** Angle of an axis, radians clockwise from the top. */
export function angleOf(axis: AxisId): number {
  return (AXES.indexOf(axis) / AXES.length) * 2 * Math.PI;
}

export interface ChartPoint {
  readonly x: number;
  readonly y: number;
}

/** `distance` from the centre in the direction `angle`, with x to the right and y down. */
export function polar(angle: number, distance: number): ChartPoint {
  return { x: distance * Math.sin(angle), y: -distance * Math.cos(angle) };
}

/** Where an intensity lies on an axis; beyond the rim it stands on the rim. */
export function placeOf(radar: Radar, axis: AxisId, intensity: number): ChartPoint {
  return polar(angleOf(axis), radar.scale(intensity));
}

/**
 * Where the figure of a ring stands on it: a third of the way from floral to resin, where outlines of the briefs in
 * seeds/ leave it most room.
 */
export function ringWordAt(radar: Radar, intensity: number): ChartPoint {
  const [from, to] = [placeOf(radar, 'floral', intensity), placeOf(radar, 'resin', intensity)];
  return { x: from.x + (to.x - from.x) / 3, y: from.y + (to.y - from.y) / 3 };
}

/** Where the handle of a wish stands; of a free axis on the blend, to be taken from there. */
export function handlePlace(
  radar: Radar,
  axis: AxisId,
  { kind, value }: Pick<HandledWish, 'kind' | 'value'>,
  predicted: number | null,
): ChartPoint {
  return placeOf(radar, axis, kind === 'free' ? (predicted ?? 0) : value);
}

/** Closed outline through one intensity per axis, straight between axes. */
export function outline(radar: Radar, intensityOf: (axis: AxisId) => number): string {
  const corners = AXES.map((axis) => placeOf(radar, axis, intensityOf(axis)));
  return `M${corners.map(({ x, y }) => `${x.toFixed(3)},${y.toFixed(3)}`).join('L')}Z`;
}

const spot = ({ x, y }: ChartPoint) => `${x.toFixed(2)},${y.toFixed(2)}`;

/** Points as one path, to be drawn by its round stroke: a dot each. */
export function dotsAt(points: readonly ChartPoint[]): string {
  return points.map((point) => `M${spot(point)}h0`).join('');
}

/** Stretches as one path. */
export function linesBetween(ends: readonly (readonly [ChartPoint, ChartPoint])[]): string {
  return ends.map(([from, to]) => `M${spot(from)}L${spot(to)}`).join('');
}

/** Half the angle a band spreads to each side of its axis. */
const BAND_HALF_ANGLE = (Math.PI / AXES.length) * 0.62;

/**
 * The stretch of an axis from `low` to `high`, as a four-cornered field across it (SVG points).
 * At least `thinnest` deep, so that a tolerance of 0 can be seen.
 */
export function bandField(
  radar: Radar,
  axis: AxisId,
  low: number,
  high: number,
  thinnest = 2,
): string {
  const middle = angleOf(axis);
  const inner = radar.scale(low);
  const outer = Math.max(inner + thinnest, radar.scale(Math.min(high, radar.max)));
  const corners = [
    polar(middle - BAND_HALF_ANGLE, inner),
    polar(middle + BAND_HALF_ANGLE, inner),
    polar(middle + BAND_HALF_ANGLE, outer),
    polar(middle - BAND_HALF_ANGLE, outer),
  ];
  return corners.map(spot).join(' ');
}

/** The edge of such a field at one intensity, from side to side. */
export function acrossAxis(
  radar: Radar,
  axis: AxisId,
  intensity: number,
): readonly [ChartPoint, ChartPoint] {
  const [middle, distance] = [angleOf(axis), radar.scale(intensity)];
  return [polar(middle - BAND_HALF_ANGLE, distance), polar(middle + BAND_HALF_ANGLE, distance)];
}

/** Intensity an axis handle shows when dragged to a place: its projection on the axis, 0 to the rim. */
export function intensityAt(radar: Radar, axis: AxisId, place: ChartPoint): number {
  const towards = polar(angleOf(axis), 1);
  const along = place.x * towards.x + place.y * towards.y;
  const { hub, radius, max } = radar;
  return (max * (Math.min(radius, Math.max(hub, along)) - hub)) / (radius - hub);
}

/** How a label hangs on its axis so that it grows away from the chart. */
export function anchorOf(axis: AxisId): 'start' | 'middle' | 'end' {
  const { x } = polar(angleOf(axis), 1);
  if (Math.abs(x) < 0.2) return 'middle';
  return x > 0 ? 'start' : 'end';
}
