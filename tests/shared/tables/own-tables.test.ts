// Tables of one's own as they come in and go out: told apart by their columns, every fault with its place and
// cure, and what is written out read back equal.
import { readFileSync, readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { OWN_TABLES, type OwnTable, type OwnTables } from '#shared/schemas/own-tables.ts';
import {
  OWN_REQUIRED,
  ownColumns,
  ownCsv,
  ownFile,
  readOwnTables,
  withOwn,
  wordsOf,
} from '#shared/tables/own-tables.ts';

const SEEDS = new URL('../../../seeds/own/', import.meta.url);
const seed = (name: string) => readFileSync(new URL(name, SEEDS), 'utf8');
const valueOf = (text: string): OwnTables => {
  const read = readOwnTables(text);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.value;
};
const refusals = (text: string) => {
  const read = readOwnTables(text);
  return read.ok ? [] : read.problems.map((p) => `${p.path}: ${p.message}. ${p.cure}`);
};

describe('a table as CSV', () => {
  it.each(readdirSync(SEEDS))('of the demo brewery, %s, is recognised by its columns', (name) => {
    const table = name.replace('.csv', '') as OwnTable;
    const own = valueOf(seed(name));
    expect(Object.keys(own)).toEqual([table]);
    expect(valueOf(ownCsv(own, table))).toEqual(own);
  });

  it('of data/ is one, where its columns are', () => {
    const rows = readFileSync(new URL('../../../data/measurements.csv', import.meta.url), 'utf8');
    const some = rows.split('\n').slice(0, 200).join('\n');
    expect(valueOf(some).measurements).toHaveLength(199);
  });

  it('is reported with line or row, column and cure where it is wrong', () => {
    expect(refusals('a,b\n1,2\n')).toEqual([expect.stringMatching(/^line 1: .*Head it as one of/)]);
    expect(refusals('hop,form,price_per_kg\nCitra,cone\nCitra,cone,12,7\n')).toEqual([
      'line 3: the row has 4 cells, the head has 3. Quote cells that hold a comma',
    ]);
    expect(
      refusals('hop,form,price_per_kg\nCitra,cone,\nCitra,brick,1,\nSaaz,cone,"1,5"\n'),
    ).toEqual([
      'prices, row 1, column price_per_kg: the cell is empty. Fill it',
      expect.stringMatching(/^prices, row 2, column form: "brick" .*pellet_90/),
      expect.stringMatching(/^prices, row 3, column price_per_kg: "1,5" .*with a point/),
    ]);
    expect(refusals('id,low,default,high,sources,colour\nboil.x,1,2,3,A,red\n')).toEqual([
      expect.stringMatching(/^parameters, row 1, column colour: .*leave the column out/),
    ]);
    expect(refusals('hop,form,price_per_kg\n')).toEqual([expect.stringContaining('no row')]);
  });
});

describe('tables as JSON', () => {
  it('come back from a file, and from a workspace', () => {
    const own = withOwn(valueOf(seed('prices.csv')), valueOf(seed('sources.csv')));
    expect(valueOf(JSON.stringify(ownFile(own)))).toEqual(own);
    expect(valueOf(JSON.stringify({ format: 'blendbine-workspace', own_tables: own }))).toEqual(
      own,
    );
    expect(withOwn(own, own)).toEqual(own);
  });

  it('are refused with a cure', () => {
    expect(refusals('{"format":"blendbine-own-tables","version":9,"tables":{}}')[0]).toMatch(
      /version/,
    );
    expect(refusals('[1]')[0]).toMatch(/format/);
    expect(refusals('{"own_tables":{"prices":[{"hop":3}]}}')[0]).toMatch(/prices/);
    expect(refusals('{"own_tables":{"__proto__":[]}}')[0]).toMatch(/.+\. .+/);
  });
});

it('every table names its columns, those that must be there first', () => {
  for (const table of OWN_TABLES) {
    const columns = ownColumns(table);
    expect(columns.slice(0, OWN_REQUIRED[table].length)).toEqual(OWN_REQUIRED[table]);
    expect(new Set(columns).size).toBe(columns.length);
  }
  expect(wordsOf('prices', 'form')).toEqual(['pellet_90', 'pellet_enriched', 'cone']);
  expect(wordsOf('prices', 'hop')).toBeNull();
  expect(wordsOf('measurements', 'basis')).toContain('dry');
});
