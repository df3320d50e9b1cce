// Where the varieties stand on the map and which names can be read: places scaled to the chart with
// one scale for both directions, names set right or left of their dot and left out where they would
// touch another name or dot.
import { scaleLinear } from 'd3';

export interface Spot {
  readonly id: string;
  readonly name: string;
  /** Place in the units of the map. */
  readonly at: readonly [number, number];
  /** Named before others: the chosen and the found ones. */
  readonly first: boolean;
}

export interface Placed {
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
  /** Radius of a dot. */
  readonly dot: number;
  /** Height of a line of type and width of one letter, about. */
  readonly line: number;
  readonly letter: number;
}

interface Box {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

const touch = (a: Box, b: Box) =>
  a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;

/** Places every variety; names go to the first-named, then from left to right. */
export function placed(spots: readonly Spot[], size: MapSize): Placed[] {
  const { width, height, margin, dot, line, letter } = size;
  const span = (k: 0 | 1) => {
    const values = spots.map((s) => s.at[k]);
    return [Math.min(...values), Math.max(...values)] as const;
  };
  const [left, right] = span(0);
  const [bottom, top] = span(1);
  const x = scaleLinear()
    .domain([left, right])
    .range([margin, width - margin]);
  const y = scaleLinear()
    .domain([bottom, top])
    .range([height - margin, margin]);
  const dots = spots.map((spot) => ({ spot, x: x(spot.at[0]), y: y(spot.at[1]) }));
  const taken: Box[] = dots.map((d) => ({
    left: d.x - dot,
    right: d.x + dot,
    top: d.y - dot,
    bottom: d.y + dot,
  }));
  const labels = new Map<string, NonNullable<Placed['label']>>();
  const inOrder = [...dots].sort(
    (a, b) => Number(b.spot.first) - Number(a.spot.first) || a.x - b.x,
  );
  for (const { spot, x: at, y: level } of inOrder) {
    const long = spot.name.length * letter;
    const gap = dot + 3;
    const sides = [
      { anchor: 'start' as const, from: at + gap, to: at + gap + long },
      { anchor: 'end' as const, from: at - gap - long, to: at - gap },
    ];
    for (const { anchor, from, to } of sides) {
      const box = { left: from, right: to, top: level - line / 2, bottom: level + line / 2 };
      if (from < 0 || to > width || taken.some((other) => touch(box, other))) continue;
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
