// Where the points of a trade-off stand, and that only steps join them.
import { describe, expect, it } from 'vitest';
import fc from 'fast-check';
import { curveOf } from '#charts/plots/curve.ts';

describe('curve', () => {
  it('puts lighter to the left and more of the other figure higher', () => {
    const { places, across, upwards } = curveOf([
      { weight: 10, other: 1 },
      { weight: 20, other: 0.4 },
      { weight: 40, other: 0 },
    ]);
    expect(places.map((p) => p.x)).toEqual([...places.map((p) => p.x)].sort((a, b) => a - b));
    expect(places.map((p) => p.y)).toEqual([...places.map((p) => p.y)].sort((a, b) => a - b));
    expect(across.length).toBeGreaterThan(1);
    expect(upwards.length).toBeGreaterThan(1);
    // A third of the way from 10 to 40, as on the scale.
    const [a, b, c] = places;
    expect((b!.x - a!.x) / (c!.x - a!.x)).toBeCloseTo(1 / 3, 12);
  });

  it('joins neighbours by a level and an upright line', () => {
    const { places, steps } = curveOf([
      { weight: 10, other: 1 },
      { weight: 20, other: 0.4 },
    ]);
    expect(steps).toEqual([
      [places[0], { x: places[1]!.x, y: places[0]!.y }],
      [{ x: places[1]!.x, y: places[0]!.y }, places[1]],
    ]);
  });

  it('stays inside the chart whatever the figures', () => {
    const figure = fc.double({ min: 0, max: 1e6, noNaN: true });
    fc.assert(
      fc.property(
        fc.array(fc.record({ weight: figure, other: figure }), { minLength: 1 }),
        (ps) => {
          for (const { x, y } of curveOf(ps).places) {
            expect(x).toBeGreaterThanOrEqual(0);
            expect(x).toBeLessThanOrEqual(1);
            expect(y).toBeGreaterThanOrEqual(0);
            expect(y).toBeLessThanOrEqual(1);
          }
        },
      ),
    );
    expect(curveOf([]).places).toEqual([]);
  });
});
