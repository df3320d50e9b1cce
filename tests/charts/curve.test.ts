// Where the points of a trade-off stand, and that only steps join them.
import { describe, expect, it } from 'vitest';
import fc from 'fast-check';
import { curveOf, type CurvePlace } from '#charts/plots/curve.ts';

describe('curve', () => {
  it('puts lighter to the left and more of the other figure higher', () => {
    const { places, across, upwards } = curveOf([
      { across: 10, upwards: 1 },
      { across: 20, upwards: 0.4 },
      { across: 40, upwards: 0 },
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
    const at = ({ x, y }: CurvePlace) => ({ x, y });
    const { places, steps } = curveOf([
      { across: 10, upwards: 1 },
      { across: 20, upwards: 0.4 },
    ]);
    const [first, second] = places.map(at);
    const corner = { x: second!.x, y: first!.y };
    expect(steps.map((ends) => ends.map(at))).toEqual([
      [first, corner],
      [corner, second],
    ]);
  });

  it('goes up at once where the figure grows: up to the next point only that much is known', () => {
    const at = ({ x, y }: CurvePlace) => ({ x, y });
    const { places, steps } = curveOf([
      { across: 50, upwards: 30 },
      { across: 60, upwards: 42 },
    ]);
    const [first, second] = places.map(at);
    const corner = { x: first!.x, y: second!.y };
    expect(steps.map((ends) => ends.map(at))).toEqual([
      [first, corner],
      [corner, second],
    ]);
  });

  it('has room for how far down a point may still come', () => {
    const { places } = curveOf([
      { across: 50, upwards: 30 },
      { across: 60, upwards: 42, least: 20 },
    ]);
    expect(places[0]!.open).toBeNull();
    expect(places[1]!.open).toBeGreaterThan(places[0]!.y);
    expect(places[1]!.open).toBeLessThanOrEqual(1);
  });

  it('stays inside the chart whatever the figures', () => {
    const figure = fc.double({ min: 0, max: 1e6, noNaN: true });
    fc.assert(
      fc.property(
        fc.array(fc.record({ across: figure, upwards: figure }), { minLength: 1 }),
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
