// Figures by normal scores: the normal share against a printed table, and scores against the draws'
// own way of reading a range.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parameterAt } from '#engine/doubt/sampling.ts';
import {
  figureAt,
  figureSlopeAt,
  normalScore,
  normalShare,
  rangeWithin,
  spreadOfLog,
} from '#engine/doubt/scores.ts';

const ranges = fc
  .tuple(
    fc.double({ min: 0.01, max: 1, noNaN: true }),
    fc.double({ min: 1.01, max: 5, noNaN: true }),
    fc.double({ min: 1.01, max: 20, noNaN: true }),
  )
  .map(([low, a, b]) => ({ low, central: low * a, high: low * a * b }));
const scores = fc.double({ min: -3.5, max: 3.5, noNaN: true });

describe('the normal share', () => {
  // Abramowitz & Stegun, Handbook of Mathematical Functions, table 26.1.
  it.each([
    [0, 0.5],
    [1, 0.841344746068543],
    [2, 0.977249868051821],
    [3, 0.99865010196837],
    [-2.5, 0.006209665325776],
  ])('below %d is as printed', (score, share) => {
    expect(normalShare(score)).toBeCloseTo(share, 13);
  });

  it('and the score are inverse to each other', () => {
    fc.assert(fc.property(scores, (z) => Math.abs(normalScore(normalShare(z)) - z) < 1e-9));
  });
});

describe('a figure at a score', () => {
  it('is the figure drawn at the share below it', () => {
    fc.assert(
      fc.property(ranges, scores, (range, z) => {
        expect(figureAt(range, z)).toBeCloseTo(parameterAt(range, normalShare(z)), 8);
      }),
    );
    const fromNothing = { low: 0, central: 0.05, high: 0.2 };
    for (const z of [-2, -0.5, 0, 0.7, 3]) {
      expect(figureAt(fromNothing, z)).toBeCloseTo(parameterAt(fromNothing, normalShare(z)), 10);
    }
  });

  it('rises as its slope says', () => {
    fc.assert(
      fc.property(ranges, scores, (range, z) => {
        if (Math.abs(z) < 1e-3) return;
        const step = 1e-5;
        const rise = (figureAt(range, z + step) - figureAt(range, z - step)) / (2 * step);
        expect(figureSlopeAt(range, z) / rise).toBeCloseTo(1, 4);
      }),
    );
  });

  it('that nothing was learned of keeps its range', () => {
    fc.assert(
      fc.property(ranges, (range) => {
        const same = rangeWithin(range, 0, 1);
        for (const end of ['low', 'central', 'high'] as const) {
          expect(same[end] / range[end]).toBeCloseTo(1, 9);
        }
      }),
    );
  });

  it('known better lies within its range, narrower', () => {
    fc.assert(
      fc.property(
        ranges,
        scores,
        fc.double({ min: 0.05, max: 0.9, noNaN: true }),
        (range, z, sd) => {
          const own = rangeWithin(range, z, sd);
          expect(own.low).toBeGreaterThanOrEqual(range.low);
          expect(own.high).toBeLessThanOrEqual(range.high);
          expect(spreadOfLog(range, 0, sd)).toBeLessThan(spreadOfLog(range, 0, 1));
          expect(parameterAt(own, 0.9)).toBeLessThanOrEqual(
            figureAt(range, z + 1.2816 * sd) * (1 + 1e-6),
          );
        },
      ),
    );
  });
});
