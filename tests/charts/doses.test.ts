// Rows of grams: nothing lost, nothing invented, drawn to one scale.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { BlendAddition } from '#shared/answers/answer.ts';
import { FORMS } from '#shared/ids.ts';
import { STAGE_KINDS } from '#shared/stages/kinds.ts';
import { SINGLE_HOP_PROCESS } from '#engine/answer/single-hop.ts';
import { doseRows, stagesIn } from '#charts/bars/doses.ts';

const { stages } = SINGLE_HOP_PROCESS;

const additions = fc.array(
  fc.record({
    hop: fc.constantFrom('Alder', 'Birch', 'Cedar'),
    form: fc.constantFrom(...FORMS),
    stage: fc.constantFrom(...STAGE_KINDS),
    grams: fc.integer({ min: 0, max: 500 }),
  }),
  { maxLength: 12 },
);
const sum = (numbers: readonly number[]) => numbers.reduce((a, b) => a + b, 0);

describe('rows of grams', () => {
  it('hold every gram once', () => {
    fc.assert(
      fc.property(additions, (list: BlendAddition[]) => {
        const rows = doseRows(list, stages);
        expect(sum(rows.map((r) => r.grams))).toBe(sum(list.map((a) => a.grams)));
        for (const stage of STAGE_KINDS) {
          const shown = rows.flatMap((r) => r.pieces).filter((p) => p.stage.key === stage);
          expect(sum(shown.map((p) => p.grams))).toBe(
            sum(list.map((a) => (a.stage === stage ? a.grams : 0))),
          );
        }
      }),
    );
  });

  it('stack pieces end to end, lengths in proportion, the heaviest lot full width', () => {
    fc.assert(
      fc.property(additions, (list: BlendAddition[]) => {
        const rows = doseRows(list, stages);
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
        const before = doseRows(earlier, stages);
        const rows = doseRows(list, stages, before);
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
    const list = [
      { hop: 'Alder', form: 'pellet_90', stage: 'dry_hop', grams: 10 },
      { hop: 'Alder', form: 'pellet_90', stage: 'mash', grams: 5 },
      { hop: 'Alder', form: 'cone', stage: 'mash', grams: 20 },
      { hop: 'Birch', form: 'cone', stage: 'mash', grams: 0 },
    ] as const;
    const rows = doseRows(list, stages);
    expect(rows.map((r) => [r.form, r.grams])).toEqual([
      ['cone', 20],
      ['pellet_90', 15],
    ]);
    expect(rows[1]!.pieces.map((p) => p.stage.key)).toEqual(['mash', 'dry_hop']);
    expect(stagesIn(list, stages).map((s) => s.key)).toEqual(['mash', 'dry_hop']);
  });

  it('tell two dry hops apart, and show one that the document does not know last', () => {
    const two = { second: { kind: 'dry_hop' as const, ...stages.dry_hop }, ...stages };
    const list = ['gone', 'second', 'dry_hop', 'mash'].map((stage) => {
      return { hop: 'Alder', form: 'cone' as const, stage, grams: 5 };
    });
    expect(doseRows(list, two)[0]!.pieces.map((p) => p.stage)).toEqual([
      { key: 'mash', kind: 'mash' },
      { key: 'second', kind: 'dry_hop' },
      { key: 'dry_hop', kind: 'dry_hop' },
      { key: 'gone', kind: null },
    ]);
  });
});
