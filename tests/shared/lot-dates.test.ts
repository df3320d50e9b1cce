// What a lot cannot be: picked or opened in days to come, opened before it was picked, heavier in parts
// than as a whole.
import { describe, expect, it } from 'vitest';
import { check } from '#shared/reading/check.ts';
import { dateProblems, dayOf } from '#shared/lists/lot-dates.ts';
import { analysisSchema } from '#shared/schemas/lot.ts';
import { savedLotSchema } from '#shared/schemas/workspace.ts';

const TODAY = '2026-03-15';
const wrong = (fields: object) => {
  const lot = { id: 'a', hop: 'Citra', form: 'cone', ...fields };
  const outcome = check(lot, savedLotSchema);
  return outcome.ok ? [] : outcome.problems.map(({ path, message }) => `${path}: ${message}`);
};

it('a day is the one it is here', () => {
  expect(dayOf(new Date(2026, 2, 5, 23, 59))).toBe('2026-03-05');
});

describe('days to come', () => {
  it.each([
    [{ harvest_year: 2027 }, ['harvest_year']],
    [{ opened_on: '2026-03-16' }, ['opened_on']],
    [{ harvest_year: 2027, opened_on: '2027-10-01' }, ['harvest_year', 'opened_on']],
    [{ harvest_year: 2026, opened_on: TODAY }, []],
    [{}, []],
  ])('%j', (dates, paths) => {
    const problems = dateProblems(dates, TODAY);
    expect(problems.map(({ path }) => path)).toEqual(paths);
    for (const { message, cure } of problems) {
      expect(message).toContain('still to come');
      expect(cure).toMatch(/^Give /);
    }
  });
});

describe('whatever day it is', () => {
  it.each([
    [{ harvest_year: 2200 }, /^harvest_year: 2200 is above 2100/],
    [{ opened_on: '9999-12-31' }, /^opened_on: .* not of the years 1950 to 2100/],
    [{ harvest_year: 2025, opened_on: '2024-11-01' }, /^opened_on: .*before the hops were picked/],
    [{ harvest_year: 2025, opened_on: '2025-01-31' }, /^opened_on: .*before the hops were picked/],
  ])('%j', (fields, sentence) => {
    expect(wrong(fields)).toEqual([expect.stringMatching(sentence)]);
  });
  it('opened in the year of the harvest is sound, the south picks in its autumn', () => {
    expect(wrong({ harvest_year: 2025, opened_on: '2025-03-01' })).toEqual([]);
  });
});

describe('parts that weigh more than the whole', () => {
  it.each([
    [{ alpha_pct: 100, beta_pct: 100 }],
    [{ alpha_pct: 91, beta_pct: 9.5 }],
    [{ alpha_pct: 80, beta_pct: 10, total_oil_ml_per_100g: 20 }],
  ])('%j', (analysis) => {
    const outcome = check(analysis, analysisSchema);
    expect(!outcome.ok && outcome.problems).toEqual([
      {
        path: '',
        message: 'alpha acids, beta acids and oil weigh more than the hop they are part of',
        cure: expect.stringContaining('decimal point'),
      },
    ]);
  });
  it('are reported once where one alone is too much', () => {
    const outcome = check({ alpha_pct: 150 }, analysisSchema);
    expect(!outcome.ok && outcome.problems.map(({ path }) => path)).toEqual(['alpha_pct']);
  });
  it('an enriched pellet is sound', () => {
    const analysis = { alpha_pct: 30, beta_pct: 12, total_oil_ml_per_100g: 6 };
    expect(check(analysis, analysisSchema).ok).toBe(true);
  });
});
