// What age did to a stored lot on a day, and when it is called out.
import { describe, expect, it } from 'vitest';
import { model } from '#engine/tables/model.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';
import { lotAge } from '#state/stock/lot-age.ts';

const TODAY = '2026-03-15';
const lot = (more: Partial<SavedLot>): SavedLot => ({
  id: 'a',
  hop: 'Cascade',
  form: 'pellet_90',
  note: '',
  out_of_stock: false,
  ...more,
});
const age = (more: Partial<SavedLot>, today = TODAY) => {
  const found = lotAge(model, lot(more), today);
  if (typeof found === 'string') throw new Error(found);
  return found;
};

describe('the age of a lot', () => {
  it('is not reckoned before year, temperature and pack are known', () => {
    expect(lotAge(model, lot({}), TODAY)).toBe('harvest year, temperature, pack');
    expect(lotAge(model, lot({ harvest_year: 2025, pack: 'vacuum' }), TODAY)).toBe('temperature');
  });
  it('sealed at the reference temperature is exp(-k t)', () => {
    // Variety without a keeping figure: 0.01 a month at 4 C, storage.alpha_rate.sealed (RUT23A).
    const plain = model.hops.find((hop) => !hop.keeping && hop.cells.alpha_pct)!.name;
    const kept = { hop: plain, harvest_year: 2024, storage_temp_c: 4, pack: 'vacuum' } as const;
    const found = age(kept, '2025-09-15');
    expect(found.months).toBeCloseTo(12, 1);
    expect(found.alpha!.left).toBeCloseTo(Math.exp(-0.12), 3);
  });
  it('counts sealed months before the opening, fewer than opened ones', () => {
    const kept = { harvest_year: 2024, storage_temp_c: 4, pack: 'vacuum' } as const;
    const [sealed, opened, open] = [
      age(kept),
      age({ ...kept, opened_on: '2026-01-15' }),
      age({ ...kept, pack: 'open' }),
    ];
    expect(sealed.alpha!.left).toBeGreaterThan(opened.alpha!.left);
    expect(opened.alpha!.left).toBeGreaterThan(open.alpha!.left);
  });
  it('just opened is as sealed: the alpha left does not jump', () => {
    const kept = { harvest_year: 2024, storage_temp_c: 4, pack: 'vacuum' } as const;
    expect(age({ ...kept, opened_on: TODAY }).alpha!.left).toBeCloseTo(age(kept).alpha!.left, 10);
  });
  it('is called out over a storage index of 0.40, not at it', () => {
    expect(age({ storage_index: 0.41 }).verdict).toBe('stale');
    expect(age({ storage_index: 0.3 }).verdict).toBeNull();
    // 110 log10(0.41/0.25) = 23.6 % of alpha lost (NICK79).
    expect(age({ storage_index: 0.41 }).alpha!.left).toBeCloseTo(0.764, 3);
  });
});
