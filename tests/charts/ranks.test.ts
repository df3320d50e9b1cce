// The geometry of a ranking: bars from zero on one scale, ranges clipped at its end and marked so.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { ranksOf } from '#charts/bars/ranks.ts';

const at = (low: number, central: number, high: number) => ({ low, central, high });

test('the longest bar leaves a fifth free, and a range beyond the end says so', () => {
  const { bars } = ranksOf([at(3, 4, 9), at(1, 2, 2.5)]);
  expect(bars[0]!.to).toBeCloseTo(0.8, 9);
  expect(bars[1]!.to).toBeCloseTo(0.4, 9);
  expect(bars.map((bar) => bar.beyond)).toEqual([true, false]);
  expect(bars[0]!.range.to).toBe(1);
});

test('marks beyond the end are left out; without any named ones they are round', () => {
  const marks = (named?: number[]) => ranksOf([at(1, 2, 3)], named).marks.map((m) => m.value);
  expect(marks([1, 2.5, 4])).toEqual([1, 2.5]);
  expect(marks()).toEqual([0.5, 1, 1.5, 2, 2.5]);
});

test('bars keep the order of their figures, within the width', () => {
  const figure = fc
    .tuple(
      fc.double({ min: 0, max: 1e5, noNaN: true }),
      fc.double({ min: 0, max: 10, noNaN: true }),
    )
    .map(([central, wide]) => at(central / (1 + wide), central, central * (1 + wide)));
  fc.assert(
    fc.property(fc.array(figure, { minLength: 1 }), (figures) => {
      const sorted = [...figures].sort((a, b) => b.central - a.central);
      const { bars } = ranksOf(sorted);
      for (const [i, bar] of bars.entries()) {
        expect(bar.range.from).toBeLessThanOrEqual(bar.to + 1e-12);
        expect(bar.to).toBeLessThanOrEqual(bar.range.to + 1e-12);
        expect(bar.range.to).toBeLessThanOrEqual(1);
        if (i > 0) expect(bar.to).toBeLessThanOrEqual(bars[i - 1]!.to);
      }
    }),
  );
});
