// Bad input to the real command: exit code 2, nothing on standard output, and on standard error a
// sentence that names the file, the path inside it and the cure. Nothing is written.
import { existsSync, readdirSync } from 'node:fs';
import { dirname } from 'node:path';
import { tmpdir } from 'node:os';
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { SCHEDULE, cli, fileWith, type Run } from './run.ts';

function refusal({ code, out, err }: Run): string {
  expect([code, out]).toEqual([2, '']);
  expect(err).toMatch(/\.\n$/);
  return err;
}

const [addition] = SCHEDULE.additions;
const withAddition = (change: object) =>
  JSON.stringify({ ...SCHEDULE, additions: [{ ...addition, ...change }] });
const withBatch = (change: object) =>
  JSON.stringify({ ...SCHEDULE, batch: { ...SCHEDULE.batch, ...change } });
const text = JSON.stringify(SCHEDULE);
const [{ brief }] = SEED_BRIEFS as [(typeof SEED_BRIEFS)[number]];
const withTarget = (target: object) => JSON.stringify({ ...brief, target });

describe('a bad document', () => {
  it.each<[string, 'predict' | 'design', string | Buffer, string, RegExp]>([
    [
      'missing field',
      'predict',
      withBatch({ beer_l: undefined }),
      'batch.beer_l',
      /Give the volume of finished beer/,
    ],
    [
      'unknown field',
      'predict',
      withAddition({ gramms: 1 }),
      'additions[0].gramms',
      /Write grams if/,
    ],
    [
      'negative grams',
      'predict',
      withAddition({ grams: -5 }),
      'additions[0].grams',
      /-5 is negative. Give/,
    ],
    [
      '1e9 g',
      'predict',
      withAddition({ grams: 1e9 }),
      'additions[0].grams',
      /above 100000000, .* Give/,
    ],
    [
      'more g than beer can hold',
      'predict',
      withAddition({ grams: 1e4 }),
      'additions[0].grams',
      /500 g\/L.* Check the grams/,
    ],
    [
      'NaN',
      'predict',
      text.replace(':60,', ':NaN,'),
      'additions[0].grams',
      /NaN at line 1, column \d+ .* Give a finite number/,
    ],
    [
      'Infinity',
      'predict',
      text.replace(':60,', ':Infinity,'),
      'additions[0].grams',
      /Infinity at line 1, column \d+ .* Give a finite number/,
    ],
    [
      'a number as text',
      'predict',
      withAddition({ grams: '12' }),
      'additions[0].grams',
      /"12" is text, .* bare number: 12/,
    ],
    [
      'text for a number',
      'predict',
      withAddition({ grams: 'abc' }),
      'additions[0].grams',
      /"abc" is text, .* Give the weight/,
    ],
    [
      'a wrong name',
      'predict',
      withBatch({ yeast: 'wild' }),
      'batch.yeast',
      /Use one of: standard, thiol_releasing/,
    ],
    [
      'a stage that is not described',
      'predict',
      withAddition({ stage: 'mash' }),
      'additions[0].stage',
      /Add stages.mash/,
    ],
    [
      'an unknown hop',
      'predict',
      withAddition({ hop: 'Nosuchhop' }),
      'additions[0].hop',
      /no variety called "Nosuchhop".* Correct the name/,
    ],
    [
      'truncated JSON',
      'predict',
      text.slice(0, -20),
      'additions[1]',
      /line 1, column \d+.* Close it|Give the whole document/,
    ],
    ['an empty file', 'predict', '', '', /there is nothing in it. Write one JSON document/],
    ['a list instead of an object', 'predict', '[]', '', /a list is given where an object/],
    [
      'not UTF-8',
      'predict',
      Buffer.from([0x7b, 0xff, 0xfe, 0x7d]),
      '',
      /not UTF-8 text. Save it as UTF-8/,
    ],
    [
      'an unknown axis',
      'design',
      withTarget({ fruity: { at_least: 2 } }),
      'target.fruity',
      /no aroma axis is called "fruity".* citrus, tropical, .* onion_garlic/,
    ],
    [
      'a clash in one wish',
      'design',
      withTarget({ resin: { at_least: 4, at_most: 2 } }),
      'target.resin',
      /at_least lies above at_most. Lower/,
    ],
    [
      'a wish given twice',
      'design',
      withTarget({ resin: { at_least: 4 } }).replace(
        '"target":{',
        '"target":{"resin":{"at_most":2},',
      ),
      'target.resin',
      /given twice, at line .* Keep one/,
    ],
    [
      'a hop banned and required',
      'design',
      JSON.stringify({ ...brief, limits: { ban: ['Citra'], require: ['citra'] } }),
      'limits.require[0]',
      /both required and banned. Take it out/,
    ],
    [
      'an unknown hop in a ban',
      'design',
      JSON.stringify({ ...brief, limits: { ban: ['Nosuchhop'] } }),
      'limits.ban[0]',
      /"Nosuchhop".* Correct the name/,
    ],
    [
      'a hop misspelt in a ban',
      'design',
      JSON.stringify({ ...brief, limits: { ban: ['Mosiac'] } }),
      'limits.ban[0]',
      /Write Mosaic if that is meant\. Correct the name/,
    ],
    [
      'a schedule for a brief',
      'design',
      text,
      'additions',
      /belongs to a schedule \(verb predict\)/,
    ],
  ])('%s', async (_, verb, document, path, expected) => {
    const file = fileWith(document);
    const err = refusal(await cli([verb, file, '--json']));
    expect(err).toContain(path === '' ? `${file}: ` : `${file}, ${path}: `);
    expect(err).toMatch(expected);
    expect(readdirSync(dirname(file))).toHaveLength(1);
  });

  it('has every problem reported, one sentence a line', async () => {
    const document = withBatch({ beer_l: -1, yeast: 'wild', malt_g_per_l: '200' });
    const err = refusal(await cli(['predict', '-'], document));
    expect(err.trim().split('\n')).toHaveLength(3);
    expect(err).toContain('standard input, batch.beer_l: ');
  });
});

describe('a bad command line', () => {
  const file = fileWith(text);
  it.each<[string, string[], string]>([
    [
      'no verb',
      [],
      'command line: the verb is missing. Use one of: predict, design, swap, save, season, sheet, learn, convert, check, hops, source',
    ],
    [
      'an unknown verb',
      ['brew', file],
      'command line: there is no verb "brew". Use one of: predict, design, swap, save, season, sheet, learn, convert, check, hops, source',
    ],
    [
      'no file',
      ['predict'],
      'command line: the file is missing. Write it behind predict, or - for',
    ],
    [
      'an unknown option',
      ['predict', file, '--jsn'],
      'command line, --jsn: there is no such option. Write --json if',
    ],
    [
      'a value too many',
      ['predict', file, '--json=yes'],
      'command line, --json: it takes no value',
    ],
    ['two files', ['predict', file, file], 'is one word too many. Give one file'],
    [
      'no time',
      ['design', file, '--time-limit', 'soon'],
      'command line, --time-limit: "soon" is not a time. Give',
    ],
    ['no value', ['design', file, '--stock'], 'command line, --stock: its value is missing'],
    [
      'stock for predict',
      ['predict', file, '--stock', file],
      'command line, --stock: predict does not take',
    ],
    [
      'a missing file',
      ['predict', 'no-such.json'],
      'no-such.json: there is no such file. Correct the path',
    ],
    ['a folder', ['predict', tmpdir()], `${tmpdir()}: this is a folder, not a file. Give a file`],
  ])('%s', async (_, args, expected) => {
    expect(refusal(await cli(args))).toContain(expected);
    expect(existsSync('no-such.json')).toBe(false);
  });
});

describe('a bad stock list', () => {
  const document = fileWith(JSON.stringify(brief));
  it.each<[string, string, string[]]>([
    ['empty', '', ['there is nothing in it']],
    [
      'without a needed column',
      'form,grams_on_hand\ncone,5\n',
      [', line 1: no column is the hop. Name the columns in the first line'],
    ],
    [
      'with a column twice',
      'hop,form,alpha_pct,alpha_pct\nCitra,cone,5,6\n',
      [', line 1: the column alpha_pct is given twice. Remove one'],
    ],
    [
      'that does not tell days from months',
      'hop,form,opened\nCitra,cone,05/10/2025\n',
      [', line 2, opened: 05/10/2025 may be 2025-10-05 or 2025-05-10. Write days like 2025-12-31'],
    ],
    [
      'with bad cells',
      'hop,form,grams_on_hand,price_per_kg\nCitra,pellet_90,-5,2\n\n"Cas\ncade",cone,5,3\nSaaz,plug,x,3\nPerle,cone,5,2,7\n',
      [
        ', line 2, grams_on_hand: -5 is negative',
        ', line 6, form: "plug" is not a name known here',
        ', line 6, grams_on_hand: "x" is no number with a decimal point. Write a figure',
        ', line 7, cells: the line has 5 cells, but there are 4 columns',
      ],
    ],
    [
      'with a hop nobody knows',
      'hop,form\nCitra,cone\nNosuchhop,cone\n',
      [', line 3, hop: the hop table has no variety called "Nosuchhop"'],
    ],
    [
      'with bad dates',
      'hop,form,harvest_year,opened_on,storage_temp_c,pack\nCitra,cone,2025,March,4,wrapped\nSaaz,cone,2025,2026-02-30,4,open\n',
      [
        ', line 2, opened_on: ',
        ', line 2, pack: "wrapped" is not a name known here',
        ', line 3, opened_on: ',
      ],
    ],
    [
      'that tells ages in two ways',
      'hop,form,storage_months,packed,opened_on\nCitra,cone,3,sealed,\n',
      [
        ', line 1: ages are counted in months (storage_months, packed) and given by dates (opened_on)',
      ],
    ],
    [
      'with every lot used up',
      'hop,form,out_of_stock\nCitra,cone,true\n',
      [', out_of_stock: every lot is used up'],
    ],
    ['with quotes left open', 'hop,form\n"Citra,cone\n', [', line 2: the quotes do not pair up']],
  ])('%s', async (_, csv, expected) => {
    const stock = fileWith(csv, 'stock.csv');
    const err = refusal(await cli(['design', document, '--stock', stock]));
    for (const sentence of expected)
      expect(err).toContain(`${stock}${sentence.startsWith(',') ? '' : ': '}${sentence}`);
    expect(err.trim().split('\n')).toHaveLength(expected.length);
  });
});

describe('help', () => {
  it('is an answer, not a fault', async () => {
    const { code, out, err } = await cli(['--help']);
    expect([code, err]).toEqual([0, '']);
    for (const word of ['predict', 'design', '--json', '--stock', '--time-limit']) {
      expect(out).toContain(word);
    }
  });
});
