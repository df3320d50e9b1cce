// Lists of lots: what a header means, how figures are written, what is wrong with a row, and that a
// list written is the list read.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { csvRows, csvText } from '#shared/lists/csv.ts';
import { ANALYTES, FORMS, TENDENCIES } from '#shared/ids.ts';
import {
  ADDITION_MEANINGS,
  LOT_COLUMNS,
  LOT_MEANINGS,
  matchHeaders,
} from '#shared/lists/lot-columns.ts';
import { holdsFigures, readRow, rowsOf, type ListedLot } from '#shared/lists/lot-list.ts';
import { listIn } from '#shared/lists/list.ts';
import { decimalMarksOf, doubtWords, numberOf } from '#shared/lists/figures.ts';
import { readAddition } from '#shared/lists/schedule-list.ts';
import { PACKS } from '#shared/schemas/workspace.ts';
import { anyText } from './any-text.ts';

function listOf(text: string) {
  const outcome = csvRows(text);
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  const [header, ...rows] = outcome.value.rows;
  const meanings = matchHeaders(header!.cells);
  const { mark } = decimalMarksOf(rows, meanings.map(holdsFigures), outcome.value.delimiter);
  if (mark === null) throw new Error('the decimal mark must be asked for');
  return rows.map((row) => readRow(row, { meanings, decimalMark: mark, form: 'pellet_90' }));
}
const ids = (headers: string[]) => matchHeaders(headers).map((m) => m?.id ?? null);

describe('headers', () => {
  it('of our own names mean themselves', () => {
    expect(ids([...LOT_COLUMNS])).toEqual([...LOT_COLUMNS]);
  });
  it('of the trade are matched by the table, and nothing else is guessed', () => {
    expect(
      ids(['Variety', 'Weight (kg)', 'Price/lb', 'AA %', 'HSI', 'Crop Year', 'Shelf']),
    ).toEqual([
      'hop',
      'grams_on_hand (kg)',
      'price_per_kg (per lb)',
      'alpha_pct',
      'storage_index',
      'harvest_year',
      null,
    ]);
  });
  it('that mean the same count once', () => {
    expect(ids(['Hop', 'Variety'])).toEqual(['hop', null]);
  });
  it('can be given every meaning under one id each', () => {
    expect(new Set(LOT_MEANINGS.map(({ id }) => id)).size).toBe(LOT_MEANINGS.length);
  });
});

describe('figures', () => {
  it.each([
    ['9.1', 'point', 9.1],
    ['9,1', 'comma', 9.1],
    ['1,200', 'point', 1200],
    ['1.200', 'comma', 1200],
    ['1.200,5', 'comma', 1200.5],
    ['1 200', 'point', 1200],
    ['9.1 %', 'point', 9.1],
    ['9.1', 'comma', 9.1],
    ['-18', 'point', -18],
    ['9,1', 'point', null],
    ['about 9', 'point', null],
    ['', 'point', null],
    ['-0', 'point', 0],
    ['1'.repeat(60_000), 'point', null],
    [`1${' '.repeat(60_000)}2`, 'point', null],
  ] as const)('%s with a decimal %s is %s', (cell, mark, value) => {
    expect(numberOf(cell, mark)).toBe(value);
  });
  it('stand in our units after a header in others', () => {
    const [first] = listOf('variety;kg;price per lb;temp F\nCitra;1,5;10;32\n');
    if (!first!.outcome.ok) throw new Error(JSON.stringify(first));
    const { grams_on_hand, price_per_kg, storage_temp_c } = first!.outcome.value;
    expect(grams_on_hand).toBe(1500);
    expect(price_per_kg).toBeCloseTo(22.046, 3);
    expect(storage_temp_c).toBeCloseTo(0, 10);
  });
});

describe('rows', () => {
  it('at fault are reported with line, column and cure, and keep no other out', () => {
    const rows = listOf('hop,form,alpha\nCitra,T90,12.5\nSaaz,constructor,3\nMagnum,cones,150\n');
    expect(rows.map(({ outcome }) => outcome.ok)).toEqual([true, false, false]);
    const [, saaz, magnum] = rows;
    if (saaz!.outcome.ok || magnum!.outcome.ok) throw new Error('must fail');
    expect(saaz!.outcome.problems[0]!.path).toBe('line 3, form');
    expect(saaz!.at).toEqual([1]);
    expect(saaz!.outcome.problems[0]!.message).toContain('"constructor"');
    expect(saaz!.outcome.problems[0]!.cure).toContain('pellet_90');
    expect(magnum!.outcome.problems[0]!.path).toBe('line 4, alpha_pct');
    expect(magnum!.at).toEqual([2]);
  });
  it('keep their line after a quoted break', () => {
    const rows = listOf('hop,note\nCitra,"two\nlines"\n\nSaaz,\n');
    expect(rows.map(({ line }) => line)).toEqual([2, 5]);
  });
  it('of too many cells are refused, short ones are filled', () => {
    const rows = listOf('hop,form\nCitra\nSaaz,cone,3\n');
    expect(rows.map(({ outcome }) => outcome.ok)).toEqual([true, false]);
  });
  it('may be parted by tabs or bars', () => {
    for (const mark of ['\t', '|', ';']) {
      const rows = listOf(['hop,form,grams', 'Citra,cone,5'].join('\n').replaceAll(',', mark));
      expect(rows[0]!.outcome).toMatchObject({ ok: true, value: { grams_on_hand: 5 } });
    }
  });
});

describe('a figure that either decimal mark explains', () => {
  const marks = (text: string) => {
    const outcome = csvRows(text);
    if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
    const [header, ...rows] = outcome.value.rows;
    const figures = matchHeaders(header!.cells).map(holdsFigures);
    return decimalMarksOf(rows, figures, outcome.value.delimiter);
  };
  it('is asked for, with its line', () => {
    const asked = marks('hop;Menge;Sack\nSaaz;20;\nCitra;1.500;7\n');
    if (asked.mark !== null) throw new Error('must be asked');
    expect(asked.doubtful).toEqual({ line: 3, at: 1, cell: '1.500' });
    expect(doubtWords(asked.doubtful)).toBe('1.500 may be 1.5 or 1500');
  });
  it.each([
    ['hop;menge;alpha\nCitra;1.500;12,5\n', 'comma'],
    ['hop;menge;alpha\nCitra;1.500;12.5\n', 'point'],
    ['hop;menge;alpha\nCitra;1.500;\nSaaz;1.234.567;\n', 'comma'],
    ['hop;menge\nCitra;500\n', 'point'],
    ['hop,menge\nCitra,1.500\n', 'point'],
    ['hop;menge;note\nCitra;500;1.500\n', 'point'],
  ])('is not asked for where the list shows it: %j has a %s', (text, mark) => {
    expect(marks(text).mark).toBe(mark);
  });
});

const figure = (max: number) => fc.double({ min: 0, max, noNaN: true }).map((x) => x || 0);
const lot: fc.Arbitrary<ListedLot> = fc
  .record(
    {
      hop: fc
        .string({ minLength: 1, maxLength: 30, unit: 'grapheme' })
        .map((s) => s.trim())
        .filter((s) => s.length > 0),
      form: fc.constantFrom(...FORMS),
      note: anyText(60),
      out_of_stock: fc.boolean(),
      grams_on_hand: figure(1e6),
      price_per_kg: figure(1e5),
      harvest_year: fc.integer({ min: 1950, max: 1999 }),
      opened_on: fc
        .date({
          min: new Date('2000-01-01T00:00:00Z'),
          max: new Date('2100-01-01T00:00:00Z'),
          noInvalidDate: true,
        })
        .map((d) => d.toISOString().slice(0, 10)),
      storage_temp_c: fc.integer({ min: -40, max: 40 }),
      pack: fc.constantFrom(...PACKS),
      storage_index: figure(2),
      analysis: fc
        .record(
          {
            // Fourteen parts of oil add up to 98 % at most.
            ...Object.fromEntries(ANALYTES.map((a) => [a, figure(a.endsWith('_of_oil') ? 7 : 20)])),
            precursor: fc.constantFrom(...TENDENCIES),
          },
          { requiredKeys: [] },
        )
        .filter((a) => Object.keys(a).length > 0),
    },
    { requiredKeys: ['hop', 'form', 'note', 'out_of_stock'] },
  )
  .map((l) => l as ListedLot);

it('a list written is the list read', () => {
  fc.assert(
    fc.property(fc.array(lot, { minLength: 1, maxLength: 6 }), (lots) => {
      const read = listOf(csvText(rowsOf(lots)));
      expect(read.map(({ outcome }) => (outcome.ok ? outcome.value : outcome))).toEqual(lots);
    }),
  );
});

it('takes a word for a missing figure as a name where it stands for a hop', () => {
  const lots: ListedLot[] = ['NA', 'n/a', '?'].map((hop) => {
    return { hop, form: 'pellet_90', note: '', out_of_stock: false };
  });
  const read = listOf(csvText(rowsOf(lots)));
  expect(read.map(({ outcome }) => (outcome.ok ? outcome.value : outcome))).toEqual(lots);
});

it('what is written in a note does not part the cells, and keeps its blanks', () => {
  const lots: ListedLot[] = [
    { hop: '!', form: 'pellet_90', note: ' ;;', out_of_stock: false },
    { hop: '!', form: 'pellet_90', note: '  ', out_of_stock: false },
    { hop: '!', form: 'pellet_90', note: '', out_of_stock: false, analysis: { precursor: 'low' } },
  ];
  const read = listOf(csvText(rowsOf(lots)));
  expect(read.map(({ outcome }) => (outcome.ok ? outcome.value : outcome))).toEqual(lots);
});

it('a list is written by RFC 4180', () => {
  const text = csvText(
    rowsOf([{ hop: 'Citra', form: 'cone', note: 'a, "b"', out_of_stock: true }]),
  );
  expect(text).toBe('hop,form,out_of_stock,note\r\nCitra,cone,true,"a, ""b"""\r\n');
});

describe('a schedule', () => {
  const meanings = matchHeaders(
    ['Hop', 'Type', 'Use', 'oz', 'Price/lb', 'AA %'],
    ADDITION_MEANINGS,
  );
  const reading = { meanings, decimalMark: 'point', form: 'pellet_90' } as const;
  const read = (...cells: string[]) => readAddition({ line: 2, cells }, reading).outcome;

  it('is read in trade words and units', () => {
    expect(meanings.map((m) => m?.id)).toEqual([
      'hop',
      'form',
      'stage',
      'grams (oz)',
      'price_per_kg (per lb)',
      'alpha_pct',
    ]);
    const outcome = read('Citra', 'leaf', 'Whirlpool', '2', '10', '12.5');
    expect(outcome.ok && outcome.value).toMatchObject({
      addition: { hop: 'Citra', form: 'cone', analysis: { alpha_pct: 12.5 } },
      stage: { kind: 'hot_steep', name: null },
    });
    // 1 oz is 28.349523125 g and 1 lb 453.59237 g by definition.
    expect(outcome.ok && outcome.value.addition.grams).toBeCloseTo(56.699, 3);
    expect(outcome.ok && outcome.value.addition.price_per_kg).toBeCloseTo(22.046, 3);
  });

  it('names what a row lacks', () => {
    const outcome = read('Citra', '', '', 'much', '', '');
    expect(!outcome.ok && outcome.problems.map(({ path }) => path).sort()).toEqual([
      'line 2, grams',
      'line 2, stage',
    ]);
  });
});

describe('a line of sums', () => {
  it('is known by its hop, or by its first words where it names none, and is left out', () => {
    const text = 'no,hop,grams_on_hand\n1,Citra,500\n2,Total,500\nSumme,,500\nTotal,Saaz,100\n';
    const found = listIn(text, LOT_MEANINGS);
    if (!found.ok) throw new Error(JSON.stringify(found.problems));
    expect(found.value.rows.map(({ cells }) => cells[1])).toEqual(['Citra', 'Saaz']);
    expect(found.value.sums).toEqual([3, 4]);
  });
});
