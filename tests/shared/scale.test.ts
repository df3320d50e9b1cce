// The scale of aroma: rising, its inverse exact, its slope that of the inverse, a foot and an end.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { intensityOn, signalOn, signalSlopeOn, type Scale } from '#shared/scale.ts';

const scales: fc.Arbitrary<Scale> = fc.record({
  most: fc.double({ min: 10.5, max: 20, noNaN: true }),
  exponent: fc.double({ min: 0.2, max: 0.8, noNaN: true }),
  recognition: fc.double({ min: 0.5, max: 5, noNaN: true }),
  foot: fc.double({ min: 0.01, max: 1, noNaN: true }),
});
const intensities = fc.double({ min: 0.01, max: 10, noNaN: true });

describe('the scale', () => {
  it('is undone by its inverse, which rises', () => {
    fc.assert(
      fc.property(scales, intensities, intensities, (scale, one, other) => {
        expect(intensityOn(scale, signalOn(scale, one))).toBeCloseTo(one, 9);
        if (one < other) {
          expect(signalOn(scale, one)).toBeLessThanOrEqual(signalOn(scale, other));
        }
      }),
    );
  });

  it('says how fast the signal rises with the intensity', () => {
    fc.assert(
      fc.property(scales, intensities, (scale, at) => {
        const step = at * 1e-5;
        const slope = (signalOn(scale, at + step) - signalOn(scale, at - step)) / (2 * step);
        expect(signalSlopeOn(scale, at) / slope).toBeCloseTo(1, 4);
      }),
    );
  });

  it('has a foot, 1 at recognition but for it, and an end', () => {
    const scale: Scale = { most: 12, exponent: 0.34, recognition: 2, foot: 0.15 };
    expect(intensityOn(scale, 0)).toBe(0);
    expect(intensityOn({ ...scale, foot: 0 }, 2)).toBeCloseTo(1, 12);
    // Far below the foot a signal counts by its square.
    expect(intensityOn(scale, 0.001) / intensityOn(scale, 0.002)).toBeCloseTo(0.5 ** 0.68, 2);
    expect(signalOn(scale, 12)).toBe(Infinity);
    expect(signalOn(scale, 0)).toBe(0);
    expect(intensityOn(scale, 1e300)).toBeLessThanOrEqual(12);
  });
});
