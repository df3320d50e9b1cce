// Gravities of recipes: every unit that programs write is read as specific gravity.
import { describe, expect, it } from 'vitest';
import { sgOf, sgOfPlato } from '#shared/recipes/gravity.ts';

describe('gravity', () => {
  it('is read as such, in kg/m3 or in Plato', () => {
    // ASBC table: 12 Plato is 1.04838.
    expect(sgOfPlato(12)).toBeCloseTo(1.0484, 3);
    expect(sgOf(1.05)).toBe(1.05);
    expect(sgOf(1053)).toBeCloseTo(1.053, 9);
    expect(sgOf(11.6)).toBeCloseTo(1.0467, 3);
    expect(sgOf(500)).toBeUndefined();
  });
});
