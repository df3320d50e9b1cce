// What is said of lots whose name the hop table does not have.
import { readdirSync, readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { advice } from '#shared/outcome.ts';
import type { OwnTables } from '#shared/schemas/own-tables.ts';
import { readOwnTables, withOwn } from '#shared/tables/own-tables.ts';
import { model } from '#engine/tables/model.ts';
import { lotAge } from '#state/stock/lot-age.ts';
import { stockModel } from '#state/stock/stock-model.ts';

const published = stockModel(null);
const { problemsOf } = published;

const lot = (hop: string, analysis?: { alpha_pct: number }) => ({
  hop,
  form: 'pellet_90' as const,
  ...(analysis && { analysis }),
});

it('a name that is misspelt is reported with those that may be meant', () => {
  const [problem] = problemsOf(lot('Mosiac'));
  expect(problem!.path).toBe('hop');
  expect(advice(problem!)).toContain('no variety called "Mosiac"');
  expect(advice(problem!)).toContain('Write Mosaic if that is meant. Correct the name');
  expect(advice(problemsOf(lot('Hallertau'))[0]!)).toMatch(/Write Hallertau\w* .+ or Hallertau/);
  expect(advice(problemsOf(lot('Nosuchhop'))[0]!)).not.toContain('Write');
});

it('a lot with an analysis is taken, and its name still questioned', () => {
  const lots = [lot('Mosiac', { alpha_pct: 12 }), lot('mosaic'), lot('Mosiac', { alpha_pct: 11 })];
  expect(lots.flatMap(problemsOf)).toEqual([]);
  expect(published.namesNotInTable(lots)).toEqual(['Mosiac']);
  expect(published.meantBy(lots[0]!)).toEqual(['Mosaic']);
  expect(published.meantBy(lots[1]!)).toEqual([]);
});

it('a hop of a person’s own tables is one like the others', () => {
  const seeds = new URL('../../seeds/own/', import.meta.url);
  const own = readdirSync(seeds).reduce<OwnTables>((all, name) => {
    const read = readOwnTables(readFileSync(new URL(name, seeds), 'utf8'));
    return read.ok ? withOwn(all, read.value) : all;
  }, {});
  const stock = stockModel(own);
  const seedling = lot('Demo Seedling');
  expect(problemsOf(seedling)).toHaveLength(1);
  expect(stock.problemsOf(seedling)).toEqual([]);
  expect(stock.namesNotInTable([seedling])).toEqual([]);
  expect(stock.missingForDesigns(seedling)).toEqual([]);
  expect(stock.hops.named('demo seedling')).toBe('Demo Seedling');
  const names = (of: typeof stock) =>
    new Set(of.tableAndStock([], '2026-03-02').map(({ hop }) => hop));
  expect([...names(stock)].filter((name) => !names(published).has(name))).toEqual([
    'Demo Seedling',
  ]);
});

it('a lot is aged once a day, and anew when it is edited', () => {
  const kept = { ...lot('Citra'), id: 'a', note: '', out_of_stock: false, storage_index: 0.5 };
  const aged = published.ageToday(kept, '2026-03-02');
  expect(aged).toEqual(lotAge(model, kept, '2026-03-02'));
  expect(published.ageToday(kept, '2026-03-02')).toBe(aged);
  expect(published.ageToday(kept, '2026-03-03')).not.toBe(aged);
  const edited = published.ageToday({ ...kept, storage_index: 0.3 }, '2026-03-03');
  expect(edited).toMatchObject({ storageIndex: 0.3, verdict: null });
});
