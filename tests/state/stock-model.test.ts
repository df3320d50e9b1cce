// What is said of lots whose name the hop table does not have.
import { expect, it } from 'vitest';
import { advice } from '#shared/outcome.ts';
import { meantBy, namesNotInTable, problemsOf } from '#state/stock/stock-model.ts';

const lot = (hop: string, analysis?: { alpha_pct: number }) => ({
  hop,
  form: 'pellet_90' as const,
  ...(analysis && { analysis }),
});

it('a name that is misspelt is told with those that may be meant', () => {
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
  expect(namesNotInTable(lots)).toEqual(['Mosiac']);
  expect(meantBy(lots[0]!)).toEqual(['Mosaic']);
  expect(meantBy(lots[1]!)).toEqual([]);
});
