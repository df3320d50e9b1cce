// The hop table as somebody looks at it: what is found and in which order; missing comes last.
import { expect, test } from 'vitest';
import { model } from '#engine/tables/model.ts';
import { nameKey } from '#shared/name-key.ts';
import { ALL_HOPS, hopsOf, shownFigure, type HopRow } from '#state/reference/hop-list.ts';
import { hopRowOf } from '#state/reference/hop-rows.ts';
import { rowsSent, sentRows } from '#state/reference/sent-rows.ts';

const row = (name: string, alpha: number | null, more: Partial<HopRow> = {}): HopRow => ({
  id: name.toLowerCase(),
  name,
  origin: 'US',
  thiolClass: 'unknown',
  offered: true,
  figures:
    alpha === null
      ? {}
      : { alpha_pct: { low: alpha, central: alpha, high: alpha, status: 'memory' } },
  ...more,
});
const rows = [
  row('Hallertauer Mittelfrüh', 4, { origin: 'DE', offered: false }),
  row('Agnus', 12),
  row('Nothing known', null, { thiolClass: 'bound' }),
  row('Citra', 13, { thiolClass: 'free' }),
];
const names = (query: Partial<typeof ALL_HOPS>) =>
  hopsOf(rows, { ...ALL_HOPS, ...query }, new Set([nameKey('CITRA')])).map((r) => r.name);

test('by name, and by a figure from either end, missing last', () => {
  expect(names({})).toEqual(['Agnus', 'Citra', 'Hallertauer Mittelfrüh', 'Nothing known']);
  expect(names({ by: 'alpha_pct' })).toEqual([
    'Hallertauer Mittelfrüh',
    'Agnus',
    'Citra',
    'Nothing known',
  ]);
  expect(names({ by: 'alpha_pct', descending: true })).toEqual([
    'Citra',
    'Agnus',
    'Hallertauer Mittelfrüh',
    'Nothing known',
  ]);
});

test('by name in the order in which a dictionary has them', () => {
  const published = model.hops.map(({ name }) => row(name, null));
  const mixed = [...published, row('Élan', null), row('eagle', null), row('Elan Two', null)];
  const found = hopsOf(mixed.reverse(), ALL_HOPS, new Set()).map(({ name }) => name);
  expect(found).toEqual(found.toSorted((a, b) => a.localeCompare(b, 'en')));
  expect(found).toHaveLength(model.hops.length + 3);
});

test('found by part of the name without accents, by origin, by thiols, by what is offered', () => {
  expect(names({ text: 'mittelfruh' })).toEqual(['Hallertauer Mittelfrüh']);
  expect(names({ text: 'de' })).toEqual(['Hallertauer Mittelfrüh']);
  expect(names({ thiols: 'free' })).toEqual(['Citra']);
  expect(names({ offeredOnly: true })).not.toContain('Hallertauer Mittelfrüh');
  expect(names({ stockOnly: true })).toEqual(['Citra']);
  expect(names({ text: 'zzz' })).toEqual([]);
});

test('a figure from memory does not stand where only read ones are asked for', () => {
  expect(shownFigure(rows[1]!, 'alpha_pct', ALL_HOPS)?.central).toBe(12);
  expect(shownFigure(rows[1]!, 'alpha_pct', { ...ALL_HOPS, readOnly: true })).toBeUndefined();
});

test('what is sent to the page is read there as it was, with what is missing still missing', () => {
  const published = model.hops.map((hop) => hopRowOf(model, hop));
  expect(rowsSent(sentRows(published))).toEqual(published);
  expect(rowsSent(sentRows(rows))).toEqual(rows);
});
