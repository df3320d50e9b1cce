// Rows of grams: nothing lost, nothing invented, drawn to one scale.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { BlendAddition } from '#shared/answers/answer.ts';
import { FORMS, STAGES } from '#shared/ids.ts';
import { doseRows, gramsAt } from '#charts/bars/doses.ts';

const additions = fc.array(
  fc.record({
    hop: fc.constantFrom('Alder', 'Birch', 'Cedar'),
    form: fc.constantFrom(...FORMS),
    stage: fc.constantFrom(...STAGES),
    grams: fc.integer({ min: 0, max: 500 }),
  }),
  { maxLength: 12 },
);
const sum = (numbers: readonly number[]) => numbers.reduce((a, b) => a + b, 0);

describe('rows of grams', () => {
  it('hold every gram once', () => {
    fc.assert(
      fc.property(additions, (list: BlendAddition[]) => {
        const rows = doseRows(list);
        expect(sum(rows.map((r) => r.grams))).toBe(sum(list.map((a) => a.grams)));
        for (const stage of STAGES) {
          const shown = rows.flatMap((r) => r.pieces).filter((p) => p.stage === stage);
          expect(sum(shown.map((p) => p.grams))).toBe(gramsAt(stage, list));
        }
      }),
    );
  });

  it('stack pieces end to end, lengths in proportion, the heaviest lot full width', () => {
    fc.assert(
      fc.property(additions, (list: BlendAddition[]) => {
        const rows = doseRows(list);
        const heaviest = rows[0]?.grams ?? 0;
        for (const row of rows) {
          let end = 0;
          for (const piece of row.pieces) {
            expect(piece.start).toBeCloseTo(end, 12);
            expect(piece.length).toBeCloseTo(piece.grams / heaviest, 12);
            end += piece.length;
          }
          expect(row.grams).toBeLessThanOrEqual(heaviest);
        }
      }),
    );
  });

  it('keep the order and the scale of the blend they follow', () => {
    fc.assert(
      fc.property(additions, additions, (earlier: BlendAddition[], list: BlendAddition[]) => {
        const before = doseRows(earlier);
        const rows = doseRows(list, before);
        const name = (row: { hop: string; form: string }) => `${row.hop}|${row.form}`;
        const kept = before.map(name).filter((lot) => rows.some((row) => name(row) === lot));
        expect(rows.map(name).slice(0, kept.length)).toEqual(kept);
        const added = rows.slice(kept.length).map((row) => row.grams);
        expect(added).toEqual(added.toSorted((a, b) => b - a));
        const heaviest = Math.max(...[...before, ...rows].map((row) => row.grams), 0);
        for (const { pieces } of rows) {
          for (const { grams, length } of pieces) expect(length).toBe(grams / heaviest);
        }
      }),
    );
  });

  it('keep forms of one hop apart and stages in the order of the process', () => {
    const rows = doseRows([
      { hop: 'Alder', form: 'pellet_90', stage: 'dry_hop', grams: 10 },
      { hop: 'Alder', form: 'pellet_90', stage: 'mash', grams: 5 },
      { hop: 'Alder', form: 'cone', stage: 'mash', grams: 20 },
      { hop: 'Birch', form: 'cone', stage: 'mash', grams: 0 },
    ]);
    expect(rows.map((r) => [r.form, r.grams])).toEqual([
      ['cone', 20],
      ['pellet_90', 15],
    ]);
    expect(rows[1]!.pieces.map((p) => p.stage)).toEqual(['mash', 'dry_hop']);
  });
});
