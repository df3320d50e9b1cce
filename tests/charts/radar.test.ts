// Radar geometry: places from the definition of polar coordinates, and laws that drawing and
// dragging rely on.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { AXES, type AxisId } from '#shared/ids.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import {
  INTENSITY_RINGS,
  acrossAxis,
  anchorOf,
  angleOf,
  bandField,
  intensityAt,
  intensityWord,
  outline,
  placeOf,
  polar,
  radarOf,
  rimFor,
  ringWordAt,
} from '#charts/radar/radar.ts';
import { keptAnswer } from '../golden/answers.ts';

const radar = radarOf(150, 46, 7);
const axis = fc.constantFrom(...AXES);
const points = (text: string) => text.split(' ').map((p) => p.split(',').map(Number));

describe('places', () => {
  it('put the first axis straight up and go clockwise', () => {
    expect(placeOf(radar, 'citrus', 7)).toEqual({ x: 0, y: -150 });
    const bottom = placeOf(radar, 'resin', 7);
    expect(bottom.x).toBeCloseTo(0, 10);
    expect(bottom.y).toBeCloseTo(150, 10);
    expect(placeOf(radar, 'stone_fruit', 3).x).toBeGreaterThan(0);
  });

  it('put zero on the rim of the hub, and keep ten zeros apart', () => {
    const zeros = AXES.map((a) => placeOf(radar, a, 0));
    for (const { x, y } of zeros) expect(Math.hypot(x, y)).toBeCloseTo(46, 10);
    const gap = Math.hypot(zeros[0]!.x - zeros[1]!.x, zeros[0]!.y - zeros[1]!.y);
    expect(gap).toBeGreaterThan(24);
  });

  it('give back the intensity a handle was put at', () => {
    fc.assert(
      fc.property(axis, fc.double({ min: 0, max: 7, noNaN: true }), (a, intensity) => {
        expect(intensityAt(radar, a, placeOf(radar, a, intensity))).toBeCloseTo(intensity, 9);
      }),
    );
  });

  it('read a pointer beside the axis as its shadow on it, never outside the scale', () => {
    fc.assert(
      fc.property(
        axis,
        fc.integer({ min: -600, max: 600 }),
        fc.integer({ min: -90, max: 90 }),
        (a, along, aside) => {
          const [to, across] = [polar(angleOf(a), along), polar(angleOf(a) + Math.PI / 2, aside)];
          const beside = intensityAt(radar, a, { x: to.x + across.x, y: to.y + across.y });
          expect(beside).toBeCloseTo(intensityAt(radar, a, to), 6);
          expect(beside).toBeGreaterThanOrEqual(0);
          expect(beside).toBeLessThanOrEqual(7);
        },
      ),
    );
  });
});

describe('outlines', () => {
  it('are straight lines through all ten axes, closed', () => {
    const path = outline(radar, () => 7);
    expect(path).toMatch(/^M[^A-Z]*(L[^A-Z]*){9}Z$/);
  });
});

describe('bands', () => {
  it('span the wished intensities on both sides of the axis', () => {
    const [a, b, c, d] = points(bandField(radar, 'citrus', 2, 4)) as [
      number[],
      number[],
      number[],
      number[],
    ];
    expect(a[0]).toBeCloseTo(-b[0]!, 2);
    expect(Math.hypot(...a)).toBeCloseTo(radar.scale(2), 1);
    expect(Math.hypot(...c)).toBeCloseTo(radar.scale(4), 1);
    expect(d[0]).toBeLessThan(0);
  });

  it('have an edge across the axis at the intensity it stands for', () => {
    fc.assert(
      fc.property(axis, fc.double({ min: 0, max: 7, noNaN: true }), (id, value) => {
        const [from, to] = acrossAxis(radar, id, value);
        expect(Math.hypot(from.x, from.y)).toBeCloseTo(radar.scale(value), 9);
        expect(Math.hypot(to.x, to.y)).toBeCloseTo(radar.scale(value), 9);
        const middle = placeOf(radar, id, value);
        const apart = (a: { x: number; y: number }) => Math.hypot(a.x - middle.x, a.y - middle.y);
        expect(apart(from)).toBeCloseTo(apart(to), 9);
      }),
    );
  });

  it('end at the rim when nothing bounds them, and show a tolerance of nothing', () => {
    expect(Math.hypot(...points(bandField(radar, 'berry', 3, Infinity))[2]!)).toBeCloseTo(150, 1);
    const [inner, , outer] = points(bandField(radar, 'berry', 3, 3, 2));
    expect(Math.hypot(...outer!) - Math.hypot(...inner!)).toBeCloseTo(2, 1);
  });
});

describe('scale', () => {
  it('shows all there is to see', () => {
    expect(rimFor([0, 4.9])).toBe(5);
    expect(rimFor([0, 6.9])).toBe(7);
    expect(rimFor([0, 7.1])).toBe(10);
  });

  it('makes room for more once a wish stands on the rim', () => {
    expect(rimFor([5])).toBe(7);
    expect(rimFor([7])).toBe(10);
    expect(rimFor([10])).toBe(10);
  });

  it('calls an intensity by the highest ring it reaches', () => {
    const words = [0.9, 1, 2.4, 2.5, 4, 6, 9].map(intensityWord);
    expect(words).toEqual([
      'not noticeable',
      'just noticeable',
      'just noticeable',
      'clear',
      'strong',
      'dominant',
      'dominant',
    ]);
  });

  it('hangs labels away from the chart', () => {
    expect([anchorOf('citrus'), anchorOf('berry'), anchorOf('grassy')]).toEqual([
      'middle',
      'start',
      'end',
    ]);
  });
});

describe('the figures of the rings', () => {
  it('stand on their ring, clear of the outlines of the seed briefs', () => {
    for (const { id } of SEED_BRIEFS) {
      const { blend } = keptAnswer(id) as {
        blend: { axes: Readonly<Record<AxisId, { intensity: number }>> };
      };
      const of = radarOf(150, 32, rimFor(AXES.map((a) => blend.axes[a].intensity)));
      const cross = (x: { x: number; y: number }, y: { x: number; y: number }) =>
        x.x * y.y - x.y * y.x;
      for (const { value } of INTENSITY_RINGS) {
        const at = ringWordAt(of, value);
        const [from, to] = [placeOf(of, 'floral', value), placeOf(of, 'resin', value)];
        const along = { x: to.x - from.x, y: to.y - from.y };
        expect(cross(along, { x: at.x - from.x, y: at.y - from.y })).toBeCloseTo(0, 8);
        // The outline between the same two axes; a figure is 9 high on a phone.
        const [a, b] = (['floral', 'resin'] as const).map((axis) =>
          placeOf(of, axis, blend.axes[axis].intensity),
        ) as [typeof at, typeof at];
        const edge = { x: b.x - a.x, y: b.y - a.y };
        const apart =
          Math.abs(cross(edge, { x: at.x - a.x, y: at.y - a.y })) / Math.hypot(edge.x, edge.y);
        expect(apart, `${id}, ${value}`).toBeGreaterThan(6);
      }
    }
  });
});
