// What a dragged dose gives: where it was predicted exactly that, between two doses between their figures.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { PointBlend } from '#shared/answers/answer.ts';
import { DOSES_AT_MOST, dosesAlong, handStep, pointAt } from '#state/workbench/dose-curve.ts';

const size = fc.double({ min: 0.01, max: 1e5, noNaN: true });
/** A blend of which one figure is known, and one is not below 10 g. */
const blend = (grams: number) =>
  ({
    totals: { ibu: grams * grams, cost: grams < 10 ? null : grams },
    misses: grams < 10 ? [] : [{ wish: 'target.citrus', by: grams }],
  }) as unknown as PointBlend;

describe('doses to predict', () => {
  it('go from nothing to the most or a step beyond, not too many, each a step where they are few', () => {
    fc.assert(
      fc.property(size, fc.double({ min: 0.001, max: 1, noNaN: true }), (most, part) => {
        const step = most * part;
        const doses = dosesAlong(most, step);
        expect(doses[0]).toBe(0);
        expect(doses.at(-1)!).toBeGreaterThanOrEqual(most * (1 - 1e-8));
        expect(doses.at(-1)!).toBeLessThan(most + step * 1.001);
        expect(doses.length).toBeLessThanOrEqual(DOSES_AT_MOST);
        if (most / step < DOSES_AT_MOST - 1) expect(doses[1]).toBeCloseTo(step, 9);
      }),
    );
  });

  it('are moved through by a hand in steps of 1, 2 or 5', () => {
    expect([78, 1, 3000, 0.4].map(handStep)).toEqual([0.5, 0.005, 20, 0.002]);
    fc.assert(
      fc.property(size, (most) => {
        expect(most / handStep(most)).toBeLessThanOrEqual(200 + 1e-9);
        expect(most / handStep(most)).toBeGreaterThan(75);
      }),
    );
  });
});

describe('the blend at a dose', () => {
  const doses = [0, 5, 10, 15];
  const points = doses.map(blend);

  it('is the one predicted there', () => {
    doses.forEach((grams, i) => expect(pointAt(doses, points, grams)).toBe(points[i]));
    expect(pointAt(doses, points, 99)).toBe(points.at(-1));
    expect(pointAt([], [], 3)).toBeNull();
  });

  it('lies between its neighbours, and takes from the nearer what cannot be mixed', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 15, noNaN: true }), (grams) => {
        const { ibu } = pointAt(doses, points, grams)!.totals;
        expect(ibu).toBeGreaterThanOrEqual(grams * grams - 1e-6);
        expect(ibu).toBeLessThanOrEqual(grams * grams + 6.3);
      }),
    );
    expect(pointAt(doses, points, 7)!.totals.cost).toBeNull();
    expect(pointAt(doses, points, 8)!.totals.cost).toBe(10);
    expect(pointAt(doses, points, 12)!.misses).toEqual([{ wish: 'target.citrus', by: 12 }]);
  });
});
