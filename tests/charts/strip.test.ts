// A figure among those of all varieties keeps its order and stays on the strip; zero is at the left.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { stripOf, usualOf } from '#charts/bars/strip.ts';

const figure = fc
  .array(fc.double({ min: 0, max: 500, noNaN: true }), { minLength: 3, maxLength: 3 })
  .map((values) => {
    const [low, central, high] = values.sort((a, b) => a - b);
    return { low: low!, central: central!, high: high! };
  });
const figures = fc.array(fc.double({ min: 0, max: 500, noNaN: true }), { maxLength: 60 });

test('places are in order and on the strip', () => {
  fc.assert(
    fc.property(figure, figures, (own, all) => {
      const strip = stripOf(own, usualOf(all));
      const { from, at, to } = strip.figure;
      expect(from).toBeLessThanOrEqual(at);
      expect(at).toBeLessThanOrEqual(to);
      const places = [from, at, to, ...(strip.usual ? Object.values(strip.usual) : [])];
      for (const place of places) {
        expect(place).toBeGreaterThanOrEqual(0);
        expect(place).toBeLessThanOrEqual(1);
      }
      if (own.central === 0) expect(at).toBe(0);
    }),
  );
});

test('four figures do not say what is usual, five do', () => {
  expect(usualOf([1, 2, 3, 4])).toBeNull();
  expect(usualOf([1, 2, 3, 4, 5])).toMatchObject({ middle: 3, least: 1, most: 5, count: 5 });
  expect(usualOf([0, 0, 0, 0, 0])).toBeNull();
});
