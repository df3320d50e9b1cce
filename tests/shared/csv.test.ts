// Lists as text: what is written reads back as it was, whatever stands in it, and nothing of it is a
// formula to a spreadsheet. Delimiters named or found out. Sizes nobody needs are refused.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { csvRows, csvText } from '#shared/lists/csv.ts';
import { faultCount, PROBLEMS_MAX } from '#shared/reading/problems.ts';
import { anyText } from './any-text.ts';

function cellsOf(text: string): (readonly string[])[] {
  const outcome = csvRows(text);
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value.rows.map(({ cells }) => cells);
}
const problemsOf = (text: string) => {
  const outcome = csvRows(text);
  return outcome.ok ? [] : outcome.problems;
};

/** Texts full of what a list or a spreadsheet could take for something else. */
const piece = fc.constantFrom(
  ...[
    '=',
    '+',
    '-',
    '@',
    '\t',
    '\r',
    '\n',
    '\r\n',
    "'",
    '"',
    ',',
    ';',
    '|',
    ' ',
    '\uFEFF',
    '\u00A0',
  ],
  ...['sep=', '1', '-1', '1.5', 'e3', 'Citra', 'é', '😀', '\ud800'],
);
const cell = fc.oneof(
  fc.array(piece, { maxLength: 6 }).map((pieces) => pieces.join('')),
  anyText(12),
);
const table = fc
  .integer({ min: 1, max: 4 })
  .chain((width) =>
    fc.array(fc.array(cell, { minLength: width, maxLength: width }), {
      minLength: 1,
      maxLength: 5,
    }),
  )
  // A line without anything in it is no row.
  .filter((rows) => rows.every((row) => row.some((text) => text.trim() !== '')));

describe('written', () => {
  it('reads back as it was', () => {
    fc.assert(
      fc.property(table, (rows) => {
        expect(cellsOf(csvText(rows))).toEqual(rows);
      }),
      { numRuns: 3000 },
    );
  });

  it.each([
    ['=1+1', "'=1+1"],
    ['+1', "'+1"],
    ['@sum', "'@sum"],
    ['-1+1', "'-1+1"],
    ['-', "'-"],
    ['\tx', `"'\tx"`],
    ["'=1", "''=1"],
    ["'quoted'", "'quoted'"],
    ['-18', '-18'],
    ['-1.5e-7', '-1.5e-7'],
    [' kept ', '" kept "'],
  ])('%j is %j', (plain, written) => {
    expect(csvText([['hop', plain]])).toBe(`hop,${written}\r\n`);
  });

  it('the first row names no other delimiter', () => {
    expect(csvText([['sep=;'], ['sep=;']])).toBe('"sep=;"\r\nsep=;\r\n');
    expect(csvText([['a;b|c'], ['d']])).toBe('"a;b|c"\r\nd\r\n');
  });

  it('nothing but a negative figure begins like a formula', () => {
    fc.assert(
      fc.property(cell, (plain) => {
        const seen = csvText([[plain]]).replace(/^"/, '');
        if (/^[=+@\t\r]/.test(seen)) expect(plain).toBe('');
        if (seen.startsWith('-')) expect(Number(plain)).toBeLessThanOrEqual(0);
      }),
      { numRuns: 1000 },
    );
  });
});

describe('the delimiter', () => {
  it.each([',', ';', '\t', '|'])('is the one a first line names: %j', (mark) => {
    const text = `sep=${mark}\r\nhop,a;b${mark}note\r\nCitra${mark}1\r\n`;
    const outcome = csvRows(text);
    if (!outcome.ok) throw new Error('must be read');
    expect(outcome.value.delimiter).toBe(mark);
    expect(outcome.value.rows.at(-1)).toEqual({ line: 3, cells: ['Citra', '1'] });
  });

  it('is not named by quoted text, and not decided in quotes', () => {
    expect(cellsOf('"sep=;"\nhop\n')).toEqual([['sep=;'], ['hop']]);
    expect(cellsOf('"x;;\n;y",note\nCitra,a\n')[1]).toEqual(['Citra', 'a']);
  });
});

describe('refused with line and cure', () => {
  it('a cell nobody wrote', () => {
    const [problem] = problemsOf(`hop,alpha_pct\nCitra,${'9'.repeat(60_000)}\n`);
    expect(problem).toMatchObject({
      path: 'line 2',
      message: 'a cell has 60000 characters, over 4000',
    });
    expect(problem!.cure).not.toBe('');
  });

  it('more lines than a stock has lots, more cells than there are columns', () => {
    for (const count of [5002, 20_000]) {
      expect(problemsOf('hop\n'.repeat(count))[0]!.message).toContain(`${count} lines`);
    }
    expect(problemsOf(`${'hop,'.repeat(60_000)}\n`)[0]!.message).toContain('60001 cells');
  });

  it('of a hundred thousand open quotes a hundred', () => {
    const problems = problemsOf(`hop,note\n${'"a"b",\n'.repeat(100_000)}`);
    expect(problems).toHaveLength(PROBLEMS_MAX + 1);
    expect(faultCount(problems)).toBe(100_000);
    expect(problems.at(-1)!.message).toBe('and 99,900 more like these');
  });
});
