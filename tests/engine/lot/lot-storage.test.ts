// How a lot of the stock was kept until a day, and what a brief takes of it.
import fc from 'fast-check';
import { expect, it } from 'vitest';
import {
  agedCandidate,
  monthsBetween,
  stockCandidates,
  storageOfLot,
} from '#engine/lot/lot-storage.ts';
import { model } from '#engine/tables/model.ts';
import type { ListedLot } from '#shared/lists/lot-list.ts';
import { candidateSchema } from '#shared/schemas/lot.ts';
import { PACKS } from '#shared/schemas/workspace.ts';

const TODAY = '2026-03-15';
const lot = (more: Partial<ListedLot>): ListedLot => ({
  hop: 'Cascade',
  form: 'pellet_90',
  note: '',
  out_of_stock: false,
  ...more,
});

it('months run from day to day and never backwards', () => {
  expect(monthsBetween('2025-03-15', '2026-03-15')).toBeCloseTo(12, 1);
  expect(monthsBetween('2026-03-15', '2025-03-15')).toBe(0);
});

it('of a southern variety runs from March', () => {
  const southern = model.hops.find((hop) => hop.origin?.startsWith('NZ'))!.name;
  const kept = storageOfLot(
    model,
    lot({ hop: southern, harvest_year: 2025, storage_temp_c: 4, pack: 'vacuum' }),
    TODAY,
  );
  expect(kept.known && kept.months).toBeCloseTo(12, 1);
});
it('what a brief takes is always a candidate, and never of a lot used up', () => {
  const days = fc.integer({ min: 0, max: 20_000 });
  const day = days.map((d) => new Date(Date.UTC(1990, 0, 1 + d)).toISOString().slice(0, 10));
  const some = fc.record(
    {
      harvest_year: fc.integer({ min: 1950, max: 2100 }),
      opened_on: day,
      storage_temp_c: fc.integer({ min: -80, max: 50 }),
      pack: fc.constantFrom(...PACKS),
      storage_index: fc.double({ min: 0, max: 3, noNaN: true }),
    },
    { requiredKeys: [] },
  );
  fc.assert(
    fc.property(some, day, (fields, today) => {
      const kept = lot(fields as Partial<ListedLot>);
      const candidate = agedCandidate(model, kept, today);
      expect(candidateSchema.safeParse(candidate).error).toBeUndefined();
      expect(stockCandidates(model, [kept, { ...kept, out_of_stock: true }], today)).toEqual([
        candidate,
      ]);
    }),
  );
});
