// How words of witnesses become the strength of a note: what memory says twice it says once.
import { describe, expect, it } from 'vitest';
import { strengths } from '#data/build/reported.ts';
import type { SensoryRow, WordRow } from '#shared/tables/rows.ts';

const words: WordRow[] = [
  { word: 'lime', axis: 'citrus', note: '' },
  { word: 'pine', axis: 'resin', note: '' },
  { word: 'mint', axis: 'herbal_spice', note: '' },
  { word: 'cedar', axis: 'woody_earthy', note: '' },
];

function list(source_id: string, kind: SensoryRow['kind'], ...said: string[]): SensoryRow[] {
  const status = kind === 'memory' ? 'memory' : 'seen';
  return said.map((word) => ({ variety: 'A', word, kind, source_id, status, note: '' }));
}

const ofA = (...rows: SensoryRow[][]) => strengths(rows.flat(), words, 0.2).get('A')!;

describe('the strength of a note', () => {
  const once = list('MEMORY-1', 'memory', 'lime', 'pine', 'mint', 'cedar');
  const again = list('MEMORY-2', 'memory', 'lime', 'pine', 'mint', 'cedar');

  it('is the same where the same is recalled twice, and so is the trust in it', () => {
    expect(ofA(once, again).trust).toBeCloseTo(ofA(once).trust, 12);
    for (const [axis, strength] of Object.entries(ofA(once).of)) {
      expect(ofA(once, again).of[axis as 'citrus']).toBeCloseTo(strength, 12);
    }
  });

  it('is the mean of two recalls that differ', () => {
    const other = list('MEMORY-2', 'memory', 'cedar', 'mint', 'pine', 'pine');
    const both = ofA(once, other).of;
    expect(both.citrus).toBeCloseTo(ofA(once).of.citrus / 2, 12);
    expect(both.woody_earthy).toBeGreaterThan(ofA(once).of.woody_earthy);
  });

  it('grows with a witness of its own, and counts a panel above a handbook above memory', () => {
    const panel = list('P', 'panel', 'lime', 'pine', 'mint', 'cedar');
    const handbook = list('H', 'handbook', 'pine', 'mint', 'cedar', 'cedar');
    expect(ofA(once, panel).trust).toBeGreaterThan(ofA(once, again).trust);
    expect(ofA(panel, handbook).of.citrus).toBeGreaterThan(ofA(panel).of.citrus / 2);
    expect(ofA(once, handbook).of.citrus).toBeLessThan(ofA(once).of.citrus / 2);
  });
});
