// The draws behind the bands: inside their range, centred on the default, repeatable from a seed.
import fc from 'fast-check';
import { median } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { drawFigure, drawParameter, randomFrom } from '#engine/sampling.ts';

const rangeArb = fc
  .tuple(
    fc.constantFrom(0, 0.001, 0.5, 7),
    fc.double({ min: 0.01, max: 10, noNaN: true }),
    fc.double({ min: 0, max: 10, noNaN: true }),
  )
  .map(([low, down, up]) => ({ low, central: low + down, high: low + down + up }));

describe('draws', () => {
  it('of a parameter stay inside its range', () => {
    fc.assert(
      fc.property(rangeArb, fc.double({ min: 0, max: 0.999999, noNaN: true }), (range, seed) => {
        const random = randomFrom(seed);
        for (let i = 0; i < 50; i += 1) {
          const draw = drawParameter(range, random);
          expect(draw).toBeGreaterThanOrEqual(range.low * (1 - 1e-12));
          expect(draw).toBeLessThanOrEqual(range.high * (1 + 1e-12));
        }
      }),
    );
  });

  it('of a parameter and of a figure have the central value as median, however skewed the range', () => {
    for (const range of [
      { low: 90, central: 300, high: 500 },
      { low: 0, central: 0.02, high: 0.06 },
      { low: 0.35, central: 0.65, high: 1.3 },
      { low: 1, central: 1, high: 4 },
    ]) {
      const random = randomFrom(3);
      const parameters = Array.from({ length: 20_000 }, () => drawParameter(range, random));
      const figures = Array.from({ length: 20_000 }, () => drawFigure(range, random));
      expect(median(parameters) / range.central).toBeCloseTo(1, 1);
      expect(median(figures) / range.central).toBeCloseTo(1, 1);
    }
  });

  it('of a figure have low and high as their 5 and 95 % points and are never negative', () => {
    const random = randomFrom(5);
    const range = { low: 0.5, central: 1, high: 3 };
    const draws = Array.from({ length: 20_000 }, () => drawFigure(range, random));
    const below = draws.filter((d) => d < range.low).length / draws.length;
    const above = draws.filter((d) => d > range.high).length / draws.length;
    expect(below).toBeCloseTo(0.05, 2);
    expect(above).toBeCloseTo(0.05, 2);
    const oneSided = Array.from({ length: 1000 }, () =>
      drawFigure({ low: 0, central: 0.2, high: 1 }, random),
    );
    expect(Math.min(...oneSided)).toBeGreaterThanOrEqual(0);
  });
});
