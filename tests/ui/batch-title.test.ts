// What a batch is called in a list, where many have the name of one beer.
import { expect, it } from 'vitest';
import type { SavedBatch } from '#shared/schemas/batch.ts';
import { batchTitle, batchTitleIn } from '#ui/brew/brewing.ts';

it('begins with the day as all days are written, and has the name alone where no day is known', () => {
  const batch = { name: 'Pale ale' } as SavedBatch;
  expect(batchTitle({ ...batch, brewed_on: '2026-11-30' })).toBe('Mon 30 Nov 2026, Pale ale');
  expect(batchTitle(batch)).toBe('Pale ale');
});

it('is said of a batch that is gone too', () => {
  const batches = [{ id: 'a', name: 'Pale ale' }] as SavedBatch[];
  expect(batchTitleIn(batches, 'a')).toBe('Pale ale');
  expect(batchTitleIn(batches, 'b')).toBe('a batch that is gone');
});
