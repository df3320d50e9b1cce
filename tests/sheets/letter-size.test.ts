// The letters of a printed sheet: as large as one sheet of A4 allows, smaller the more is said, never too small.
import { describe, expect, it } from 'vitest';
import { letterSize } from '#sheets/letter-size.ts';
import { sheetHtml } from '#sheets/html.ts';
import { EIGHT_STAGES } from './eight-stages.ts';
import { sheetFor } from './sheet-for.ts';

const DRY_HOPPED = {
  ...EIGHT_STAGES,
  stages: { dry_hop: EIGHT_STAGES.stages.dry_hop },
  additions: EIGHT_STAGES.additions.filter(({ stage }) => stage === 'dry_hop'),
};
const sizeOf = (document: object, note = '') => {
  const sheet = sheetFor(document, { brewed_on: '2026-12-05', note });
  return letterSize(sheet, 'metric');
};

describe('letters on paper', () => {
  it('are large where a brew has one stage, small where it has eight', () => {
    expect(sizeOf(DRY_HOPPED)).toBe(10);
    expect(sizeOf(EIGHT_STAGES)).toBe(7.7);
  });

  it('give way to a long note, line by line, and keep a least size', () => {
    const sizes = [0, 20, 30, 40, 200].map((rows) =>
      sizeOf(DRY_HOPPED, 'rice hulls\n'.repeat(rows)),
    );
    expect(sizes).toEqual(sizes.toSorted((a, b) => b - a));
    expect(sizes[2]).toBeLessThan(10);
    expect(sizes[2]).toBeGreaterThan(sizes[3]!);
    expect(sizes.at(-1)).toBe(7.7);
  });

  it('are as asked in the page that is saved, else the least', () => {
    const sheet = sheetFor(DRY_HOPPED);
    expect(sheetHtml(sheet, 'metric', 9.5)).toContain('font: 9.5pt/');
    expect(sheetHtml(sheet)).toContain('font: 7.7pt/');
  });
});
