// How figures, tables and lines come out as text, and when a progress line is shown at all.
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { progressLine, progressText } from '../../src/cli/progress.ts';
import { alike, band, figure, table, wrapped } from '../../src/cli/print/table.ts';

describe('figures', () => {
  it.each([
    [0, '0'],
    [117.24, '117'],
    [1234.5, '1230'],
    [0.00123456, '0.00123'],
    [0.000012345, '1.2e-5'],
    [2, '2'],
  ])('%d is %s', (value, text) => {
    expect(figure(value)).toBe(text);
  });

  it('tells a figure in doubt and its range to two digits of the largest, alike', () => {
    const written = (value: number, low: number, high: number) => {
      const format = alike(value, low, high);
      return `${format(value)}, ${band(low, high, format)}`;
    };
    expect(written(0.63, 0.504, 0.788)).toBe('0.63, 0.50 to 0.79');
    expect(written(9.848, 4.779, 13.51)).toBe('10, 5 to 14');
    expect(written(0.108, 0.0781, 0.143)).toBe('0.11, 0.08 to 0.14');
    expect(written(1420, 1184, 1699)).toBe('1420, 1184 to 1699');
    expect(written(0, 0, 0)).toBe('0, 0 to 0');
  });
});

describe('tables', () => {
  it('stand in columns, without blanks at the end', () => {
    const rows = [
      ['hop', 'g', ''],
      ['Citra', '60', 'a'],
      ['Saaz', '5', ''],
    ];
    expect(table(rows, ['left', 'right', 'left'])).toEqual([
      'hop     g',
      'Citra  60  a',
      'Saaz    5',
    ]);
  });
});

describe('long lines', () => {
  it('break between words, later ones under the first', () => {
    expect(wrapped('one two three four', '- ', 10)).toEqual(['- one two', '  three', '  four']);
    expect(wrapped('one two three four', '', 9)).toEqual(['one two', 'three', 'four']);
  });

  it('keep a word that is longer than the line', () => {
    expect(wrapped('abcdefghijkl x', '', 5)).toEqual(['abcdefghijkl', 'x']);
  });
});

describe('the progress line', () => {
  const [{ brief }] = SEED_BRIEFS as [(typeof SEED_BRIEFS)[number]];
  const progress = { best: null, lower_bound: 120, milliseconds: 2000 };
  const shownOn = (isTTY: boolean) => {
    const written: string[] = [];
    const stream = { isTTY, write: (text: string) => written.push(text) };
    const line = progressLine(stream as unknown as NodeJS.WriteStream);
    const text = (objective: number | null, gap: number) =>
      progressText({ ...progress, objective, gap }, brief);
    line.tell(2000, text(125, 0.04));
    line.tell(2001, text(124, 0.03));
    line.tell(3000, text(null, 1));
    line.tell(4000, progressText({ ...progress, objective: null, gap: 1, miss: 1.012 }, brief));
    line.clear();
    return written;
  };

  it('tells best and gap on a terminal, not faster than one can read', () => {
    expect(shownOn(true)).toEqual([
      '\r\x1b[2Kbest 125 g of hops, unproven 4.0 %, at least 120 g of hops, 2 s',
      '\r\x1b[2Kno blend yet, at least 120 g of hops, 3 s',
      '\r\x1b[2Kclosest so far 1.01 off, at least 120 g of hops, 4 s',
      '\r\x1b[2K',
    ]);
  });

  it('is silent elsewhere', () => {
    expect(shownOn(false)).toEqual([]);
  });
});
