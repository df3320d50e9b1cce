// The regression against certified results, against another package, and by its laws.
import fc from 'fast-check';
import { linearRegression } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { ridge } from '#data/build/regression.ts';

// Longley's employment data with the certified coefficients of the NIST Statistical Reference
// Datasets, both from memory. Six predictors that move together: a hard case for normal equations.
const LONGLEY = [
  [60323, 83.0, 234289, 2356, 1590, 107608, 1947],
  [61122, 88.5, 259426, 2325, 1456, 108632, 1948],
  [60171, 88.2, 258054, 3682, 1616, 109773, 1949],
  [61187, 89.5, 284599, 3351, 1650, 110929, 1950],
  [63221, 96.2, 328975, 2099, 3099, 112075, 1951],
  [63639, 98.1, 346999, 1932, 3594, 113270, 1952],
  [64989, 99.0, 365385, 1870, 3547, 115094, 1953],
  [63761, 100.0, 363112, 3578, 3350, 116219, 1954],
  [66019, 101.2, 397469, 2904, 3048, 117388, 1955],
  [67857, 104.6, 419180, 2822, 2857, 118734, 1956],
  [68169, 108.4, 442769, 2936, 2798, 120445, 1957],
  [66513, 110.8, 444546, 4681, 2637, 121950, 1958],
  [68655, 112.6, 482704, 3813, 2552, 123366, 1959],
  [69564, 114.2, 502601, 3931, 2514, 125368, 1960],
  [69331, 115.7, 518173, 4806, 2572, 127852, 1961],
  [70551, 116.9, 554894, 4007, 2827, 130081, 1962],
] as const;
const CERTIFIED = [
  ...[15.0618722713733, -0.035819179292591, -2.02022980381683],
  ...[-1.03322686717359, -0.0511041056535807, 1829.15146461355],
];

describe('ridge regression', () => {
  it('without a penalty gives the certified least squares of the Longley data', () => {
    const fit = ridge(
      LONGLEY.map((row) => row.slice(1)),
      LONGLEY.map(([y]) => y),
      0,
    );
    fit.weights.forEach((weight, j) => expect(weight / CERTIFIED[j]!).toBeCloseTo(1, 7));
    expect(fit.intercept / -3482258.63459582).toBeCloseTo(1, 7);
  });

  const figure = fc.double({ min: -5, max: 5, noNaN: true });
  const points = fc.array(fc.tuple(figure, figure), { minLength: 4, maxLength: 30 });

  it('of one predictor is the line another package draws', () => {
    fc.assert(
      fc.property(points, (list) => {
        const xs = list.map(([x]) => x);
        fc.pre(Math.max(...xs) - Math.min(...xs) > 0.1);
        const { m, b } = linearRegression(list);
        const fit = ridge(
          list.map(([x]) => [x]),
          list.map(([, y]) => y),
          0,
        );
        expect(fit.weights[0]).toBeCloseTo(m, 6);
        expect(fit.intercept).toBeCloseTo(b, 6);
      }),
    );
  });

  it('of one predictor is shrunk by spread / (spread + penalty)', () => {
    fc.assert(
      fc.property(points, fc.double({ min: 0.01, max: 10, noNaN: true }), (list, penalty) => {
        const xs = list.map(([x]) => x);
        fc.pre(Math.max(...xs) - Math.min(...xs) > 0.1);
        const middle = xs.reduce((sum, x) => sum + x, 0) / xs.length;
        const spread = xs.reduce((sum, x) => sum + (x - middle) ** 2, 0) / xs.length;
        const fitted = (by: number) =>
          ridge(
            list.map(([x]) => [x]),
            list.map(([, y]) => y),
            by,
          ).weights[0]!;
        expect(fitted(penalty)).toBeCloseTo((fitted(0) * spread) / (spread + penalty), 6);
      }),
    );
  });

  it('shares a weight between two predictors that are the same', () => {
    const { weights } = ridge(
      [
        [1, 1],
        [2, 2],
        [3, 3],
        [5, 5],
      ],
      [2, 4, 6, 10],
      1e-9,
    );
    expect(weights[0]).toBeCloseTo(1, 3);
    expect(weights[1]).toBeCloseTo(1, 3);
  });
});
