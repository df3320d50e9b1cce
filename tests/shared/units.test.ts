// Known conversions (exact by the definitions of the international pound and the US gallon) and
// the law that the way back undoes the way there.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { QUANTITIES, UNIT_SYSTEMS, toShown, toStored, unitLabel } from '#shared/units.ts';

describe('known conversions', () => {
  it.each([
    ['hop_mass', 453.59237, 16],
    ['volume', 18.92705892, 5],
    ['temperature', 100, 212],
    ['temperature', -40, -40],
    ['dose', 7.48915170730604, 1],
    ['price', 1000, 453.59237],
  ] as const)('%s: %d metric is %d US', (quantity, metric, us) => {
    expect(toShown(metric, quantity, 'us')).toBeCloseTo(us, 10);
    expect(toStored(us, quantity, 'us')).toBeCloseTo(metric, 10);
  });

  /** A share is typed in per cent everywhere. */
  const measured = QUANTITIES.filter((quantity) => quantity !== 'share');

  it('leaves metric figures alone', () => {
    for (const quantity of measured) expect(toShown(12.5, quantity, 'metric')).toBe(12.5);
    for (const system of UNIT_SYSTEMS) expect(toShown(0.125, 'share', system)).toBe(12.5);
  });

  it('names each unit differently in the two systems', () => {
    for (const quantity of measured) {
      expect(unitLabel(quantity, 'metric')).not.toBe(unitLabel(quantity, 'us'));
    }
  });
});

describe('round trip', () => {
  it('returns the stored figure to one part in a million million', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...QUANTITIES),
        fc.constantFrom(...UNIT_SYSTEMS),
        fc.double({ min: -1e6, max: 1e6, noNaN: true }),
        (quantity, system, stored) => {
          const back = toStored(toShown(stored, quantity, system), quantity, system);
          expect(Math.abs(back - stored)).toBeLessThanOrEqual(
            1e-12 * Math.max(100, Math.abs(stored)),
          );
        },
      ),
    );
  });

  it('keeps order', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...QUANTITIES),
        fc.double({ min: 0, max: 1e6, noNaN: true }),
        fc.double({ min: 0.001, max: 1e6, noNaN: true }),
        (quantity, smaller, more) => {
          expect(toShown(smaller + more, quantity, 'us')).toBeGreaterThan(
            toShown(smaller, quantity, 'us'),
          );
        },
      ),
    );
  });
});
