// What a panel says: the intraclass correlation against its published worked example, the triangle test
// against printed tables.
import { describe, expect, it } from 'vitest';
import { agreementOf, commonTable, panelOf, triangleChance } from '#engine/learning/panel.ts';

describe('agreement of tasters', () => {
  it('is that of the worked example of Shrout & Fleiss 1979, table 2 and 4', () => {
    const table = [
      [9, 2, 5, 8],
      [6, 1, 3, 2],
      [8, 4, 6, 8],
      [7, 1, 2, 6],
      [10, 5, 6, 9],
      [6, 2, 4, 7],
    ];
    expect(agreementOf(table)).toBeCloseTo(0.29, 2);
  });

  it('is 1 where all say the same, and cannot be told of one taster or one thing', () => {
    expect(
      agreementOf([
        [1, 1],
        [4, 4],
        [6, 6],
      ]),
    ).toBeCloseTo(1, 12);
    expect(agreementOf([[1], [2]])).toBeNull();
    expect(agreementOf([[1, 2]])).toBeNull();
    expect(
      agreementOf([
        [2, 2],
        [2, 2],
      ]),
    ).toBeNull();
  });

  it('counts repeats as one, and what all tasters scored', () => {
    const beer = [
      { taster: 'A', axis: 'citrus', score: 2 },
      { taster: 'A', axis: 'citrus', score: 4 },
      { taster: 'B', axis: 'citrus', score: 5 },
      { taster: 'B', axis: 'floral', score: 1 },
    ] as const;
    expect(commonTable([beer])).toEqual([[3, 5]]);
    expect(panelOf(beer)).toEqual([
      { axis: 'citrus', mean: 4, spread: Math.SQRT2, tasters: 2 },
      { axis: 'floral', mean: 1, spread: null, tasters: 1 },
    ]);
  });
});

describe('a triangle test', () => {
  // Least right picks at 5 %: ISO 4120:2021, table A.1.
  it.each([
    [6, 5],
    [12, 8],
    [18, 10],
    [24, 13],
    [30, 15],
    [60, 27],
  ])('of %d is passed at 5 %% by %d right and not by one fewer', (tests, right) => {
    expect(triangleChance(tests, right)).toBeLessThanOrEqual(0.05);
    expect(triangleChance(tests, right - 1)).toBeGreaterThan(0.05);
  });

  it('is exact where it can be counted by hand', () => {
    expect(triangleChance(3, 0)).toBe(1);
    expect(triangleChance(3, 3)).toBeCloseTo(1 / 27, 12);
    expect(triangleChance(3, 2)).toBeCloseTo(7 / 27, 12);
  });
});
