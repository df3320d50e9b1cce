// Where the varieties stand on the map of two notes and which names can be read: places on its scales, names
// set right or left of their dot and left out where they would touch another name or dot. How wide a
// name is drawn is handed in, because only the page knows its type.
import { scaleLinear } from 'd3';

export interface Spot {
  readonly id: string;
  readonly name: string;
  /** Intensity of the two notes: across, upwards. */
  readonly at: readonly [number, number];
  /** Named before others: the chosen and the found ones. */
  readonly first: boolean;
  /** Width of the name as drawn, px. */
  readonly long: number;
}

export interface PlacedHop {
  readonly id: string;
  readonly x: number;
  readonly y: number;
  /** Where the name goes; `null` where there is no room. */
  readonly label: { readonly x: number; readonly anchor: 'start' | 'end' } | null;
}

export interface MapSize {
  readonly width: number;
  readonly height: number;
  /** Room around the outermost dots. */
  readonly margin: number;
  /** Room on the left and below for the scales. */
  readonly foot: number;
  /** Where both scales end. */
  readonly most: number;
  /** Radius of a dot. */
  readonly dot: number;
  /** Height of a line of type. */
  readonly line: number;
}

interface Box {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** From a dot to its name, and least room between the name and anything else beside it, px. */
const GAP = 3;
const CLEAR = 5;

const touch = (a: Box, b: Box) =>
  a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;

/** The scales of the map, both of the same notes' intensity. */
export function mapScales({ width, height, margin, foot, most }: MapSize) {
  return {
    x: scaleLinear()
      .domain([0, most])
      .range([foot + margin, width - margin]),
    y: scaleLinear()
      .domain([0, most])
      .range([height - foot - margin, margin]),
  };
}

/** Places every variety; names go to the first-named, then from left to right. */
export function placed(spots: readonly Spot[], size: MapSize): PlacedHop[] {
  const { width, height, dot, foot, line } = size;
  const { x, y } = mapScales(size);
  const dots = spots.map((spot) => ({ spot, x: x(spot.at[0]), y: y(spot.at[1]) }));
  const taken: Box[] = dots.map((d) => ({
    left: d.x - dot,
    right: d.x + dot,
    top: d.y - dot,
    bottom: d.y + dot,
  }));
  const labels = new Map<string, NonNullable<PlacedHop['label']>>();
  const inOrder = [...dots].sort(
    (a, b) => Number(b.spot.first) - Number(a.spot.first) || a.x - b.x,
  );
  for (const { spot, x: at, y: level } of inOrder) {
    const { long } = spot;
    const gap = dot + GAP;
    const sides = [
      { anchor: 'start' as const, from: at + gap, to: at + gap + long },
      { anchor: 'end' as const, from: at - gap - long, to: at - gap },
    ];
    for (const { anchor, from, to } of sides) {
      const [top, bottom] = [level - line / 2, level + line / 2];
      if (from < foot || to > width || top < 0 || bottom > height - foot) continue;
      const box = { left: from, right: to, top, bottom };
      // Its own dot stands nearer than anything else may.
      const room = { ...box, left: from - CLEAR, right: to + CLEAR };
      const others = taken.filter((_, i) => dots[i]?.spot !== spot);
      if (others.some((other) => touch(room, other))) continue;
      taken.push(box);
      labels.set(spot.id, { x: anchor === 'start' ? from : to, anchor });
      break;
    }
  }
  return dots.map(({ spot, x: at, y: level }) => ({
    id: spot.id,
    x: at,
    y: level,
    label: labels.get(spot.id) ?? null,
  }));
}
