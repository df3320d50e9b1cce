// What other devices and tabs change against the history of this one: undo takes back one's own steps, never
// those of others, and what both changed in one record is put together.
import { expect, it } from 'vitest';
import type { SavedLot } from '#shared/schemas/workspace.ts';
import { withElsewhere } from '#state/documents/changes.ts';
import { withLot, withoutLot } from '#state/documents/documents.ts';
import { fieldByField } from '#state/documents/field-by-field.ts';
import * as history from '#state/documents/history.ts';
import { lot, ownWorkspace } from '../storage/browser-store.ts';

const none = { designs: new Map(), lots: new Map(), batches: new Map() };
const start = history.historyOf(ownWorkspace());
const lotIn = ({ present }: typeof start, id: string) => present.lots.find((l) => l.id === id);
const edit = (from: typeof start, next: SavedLot) =>
  history.edited(from, 'edit', withLot(from.present, next));
const hear = (from: typeof start, lots: readonly SavedLot[]) =>
  history.mapped(from, (value) =>
    withElsewhere(value, { ...none, lots: new Map(lots.map((l) => [l.id, l])) }, from.present),
  );

it('undo takes back the own field of a lot and leaves what others changed in it', () => {
  const mine = edit(start, { ...lotIn(start, 'a')!, price_per_kg: 50 });
  const both = hear(mine, [{ ...lotIn(mine, 'a')!, note: 'cold' }]);
  expect(lotIn(both, 'a')).toMatchObject({ price_per_kg: 50, note: 'cold' });
  const undone = history.undone(both);
  expect(lotIn(undone, 'a')).toMatchObject({ price_per_kg: 40, note: 'cold' });
  expect(lotIn(history.redone(undone), 'a')).toMatchObject({ price_per_kg: 50, note: 'cold' });
});

it('undo of a draw puts back what was drawn here, not what others drew', () => {
  const mine = edit(start, { ...lotIn(start, 'a')!, grams_on_hand: 440 as never });
  const both = hear(mine, [{ ...lotIn(mine, 'a')!, grams_on_hand: 340 as never }]);
  expect(lotIn(history.undone(both), 'a')!.grams_on_hand).toBe(400);
});

it('undo of adding a lot takes it out again, though others changed it since', () => {
  const mine = edit(start, lot('new', 'Galaxy'));
  const both = hear(mine, [lot('new', 'Galaxy', { note: 'theirs' })]);
  expect(lotIn(both, 'new')!.note).toBe('theirs');
  expect(lotIn(history.undone(both), 'new')).toBeUndefined();
});

it('what others added or removed is no step of anybody here', () => {
  const mine = edit(start, { ...lotIn(start, 'a')!, price_per_kg: 50 });
  const added = hear(mine, [lot('theirs', 'Saaz')]);
  expect(lotIn(history.undone(added), 'theirs')).toBeDefined();
  const removed = history.mapped(mine, (value) => withoutLot(value, 'b'));
  expect(lotIn(history.undone(removed), 'b')).toBeUndefined();
});

it('inner figures of one record go together, and grams add up', () => {
  const base = { grams_on_hand: 500, analysis: { alpha_pct: 12, total_oil_ml_per_100g: 2 } };
  const mine = { grams_on_hand: 440, analysis: { alpha_pct: 11, total_oil_ml_per_100g: 2 } };
  const theirs = { grams_on_hand: 400, analysis: { alpha_pct: 12, total_oil_ml_per_100g: 1.8 } };
  expect(fieldByField(base, mine, theirs)).toEqual({
    grams_on_hand: 340,
    analysis: { alpha_pct: 11, total_oil_ml_per_100g: 1.8 },
  });
});
