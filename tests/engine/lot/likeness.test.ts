// The likeness of oils: laws of log-ratios and of the distance between two oils.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { model } from '#engine/tables/model.ts';
import { centredLogRatios, comparedOf, distance, nearest } from '#engine/lot/likeness.ts';

const compared = model.hops.flatMap((hop) => comparedOf(hop) ?? []);
const share = fc.double({ min: 0.05, max: 100, noNaN: true });

test('log-ratios sum to zero and do not change with the scale', () => {
  fc.assert(
    fc.property(fc.array(share, { minLength: 2, maxLength: 8 }), share, (shares, factor) => {
      const ratios = centredLogRatios(shares);
      expect(ratios.reduce((sum, r) => sum + r, 0)).toBeCloseTo(0, 9);
      const scaled = centredLogRatios(shares.map((s) => s * factor));
      ratios.forEach((r, i) => expect(scaled[i]).toBeCloseTo(r, 9));
    }),
  );
});

test('the distance is a distance', () => {
  const any = fc.constantFrom(...compared);
  fc.assert(
    fc.property(any, any, any, (a, b, c) => {
      expect(distance(a, a)).toBe(0);
      expect(distance(a, b)).toBeCloseTo(distance(b, a), 12);
      expect(distance(a, c)).toBeLessThanOrEqual(distance(a, b) + distance(b, c) + 1e-12);
    }),
  );
});

test('the nearest come in order and leave out the hop itself', () => {
  fc.assert(
    fc.property(fc.constantFrom(...compared), (of) => {
      const near = nearest(of, compared, 6);
      expect(near).toHaveLength(6);
      expect(near.map((n) => n.hop.id)).not.toContain(of.hop.id);
      const far = compared.filter((c) => c !== of && !near.some((n) => n.hop === c.hop));
      expect(near.at(-1)!.distance).toBeLessThanOrEqual(
        Math.min(...far.map((c) => distance(of, c))),
      );
      expect([...near].sort((a, b) => a.distance - b.distance)).toEqual(near);
    }),
  );
});
