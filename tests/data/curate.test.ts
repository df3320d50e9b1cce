// Laws of the curation rule, on invented measurements.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { curate } from '#data/build/curate.ts';
import type { MeasurementRow, Tier } from '#shared/tables/rows.ts';

const CONSTANTS = { oilDensity: 0.85, sh3InCys: 0.606 };
const TIERS = new Map<string, Tier>([
  ['paper', 'A'],
  ['institute', 'B'],
  ['handbook', 'C'],
  ['journalist', 'D'],
  ['recalled', 'M'],
]);

function row(change: Partial<MeasurementRow>): MeasurementRow {
  return {
    ...{ variety: 'Example', analyte: 'alpha', value: undefined, min: undefined, max: undefined },
    ...{ unit: 'pct_w/w', basis: 'as-is', crop_year: '', form: 'cone', source_id: 'paper' },
    ...{ status: change.source_id === 'recalled' ? 'memory' : 'seen', sample: '', method: '' },
    ...{ exclude: '', note: '' },
    ...change,
  };
}

const alphaOf = (rows: readonly MeasurementRow[]) =>
  curate(rows, TIERS, CONSTANTS).get('Example')?.alpha_pct;

const percent = fc.double({ min: 0, max: 30, noNaN: true });
const figures: fc.Arbitrary<Partial<MeasurementRow>> = fc.oneof(
  percent.map((value) => ({ value })),
  fc.tuple(percent, percent).map(([a, b]) => ({ min: Math.min(a, b), max: Math.max(a, b) })),
  percent.map((max) => ({ max })),
  percent.map((min) => ({ min })),
);
const anyRow = fc
  .tuple(figures, fc.constantFrom(...TIERS.keys()))
  .map(([figure, source_id]) => row({ ...figure, source_id }));
const rows = fc.array(anyRow, { minLength: 1, maxLength: 12 });

describe('curation', () => {
  it('keeps low <= central <= high', () => {
    fc.assert(
      fc.property(rows, (list) => {
        const cell = alphaOf(list);
        if (cell === undefined) return;
        expect(cell.low).toBeLessThanOrEqual(cell.central);
        expect(cell.central).toBeLessThanOrEqual(cell.high);
      }),
    );
  });

  it('does not see the order of the rows', () => {
    fc.assert(
      fc.property(rows, (list) => {
        const cell = alphaOf(list);
        const again = alphaOf([...list].reverse());
        // sums round differently in another order, by one unit of the fourth digit at most
        expect(Math.abs((again?.central ?? 0) - (cell?.central ?? 0))).toBeLessThan(0.011);
        expect(again && { ...again, central: 0 }).toEqual(cell && { ...cell, central: 0 });
      }),
    );
  });

  it('never lets a recalled figure move a cell that was read', () => {
    fc.assert(
      fc.property(rows, figures, (list, figure) => {
        const read = alphaOf(list.filter(({ source_id }) => source_id !== 'recalled'));
        fc.pre(read !== undefined);
        expect(alphaOf([...list, row({ ...figure, source_id: 'recalled' })])).toEqual(read);
      }),
    );
  });

  it('never lets a handbook move a paper, nor an excluded row or a group anything', () => {
    fc.assert(
      fc.property(percent, figures, (value, figure) => {
        const paper = row({ value });
        const alone = alphaOf([paper]);
        for (const other of [
          row({ ...figure, source_id: 'handbook' }),
          row({ ...figure, exclude: 'spoiled sample' }),
          row({ ...figure, variety: 'GROUP of some' }),
        ]) {
          expect(alphaOf([paper, other])).toEqual(alone);
        }
      }),
    );
  });

  it('gives each source one vote, however many rows it has', () => {
    const many = [4, 5, 6].map((value) => row({ value }));
    const cell = alphaOf([...many, row({ value: 9, source_id: 'institute' })]);
    expect(cell).toEqual({
      ...{ low: 4, central: 7, high: 9, status: 'seen', sources: ['institute', 'paper'] },
    });
  });

  it('drops UV acids only where the same source has HPLC ones', () => {
    const uv = row({ value: 10, method: 'uv' });
    expect(alphaOf([uv])?.central).toBe(10);
    expect(alphaOf([uv, row({ value: 8, method: 'hplc' })])?.central).toBe(8);
    const elsewhere = row({ value: 8, method: 'hplc', source_id: 'institute' });
    expect(alphaOf([uv, elsewhere])?.central).toBe(9);
  });

  it('makes no centre of a one-sided figure, but minds it as a bound', () => {
    expect(alphaOf([row({ max: 5 })])).toBeUndefined();
    expect(alphaOf([row({ value: 4 }), row({ max: 5 })])).toMatchObject({ central: 4, high: 5 });
  });
});
