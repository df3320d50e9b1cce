// The tables of evidence with own rows: theirs in the place of the published ones, marked, each with a row that
// every id of it leads to, and the published rows untouched beside them.
import { readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import type { OwnTables } from '#shared/schemas/own-tables.ts';
import { readOwnTables, withOwn } from '#shared/tables/own-tables.ts';
import { model } from '#engine/tables/model.ts';
import { ownModel } from '#engine/tables/own.ts';
import { anchorOf, rowsOf } from '#state/reference/evidence-list.ts';
import { EVIDENCE_TABLES } from '#state/reference/evidence-tables.ts';
import { evidenceWith } from '#state/reference/own-evidence.ts';

const SEEDS = new URL('../../seeds/own/', import.meta.url);
const seeds = readdirSync(SEEDS).reduce<OwnTables>((all, name) => {
  const read = readOwnTables(readFileSync(new URL(name, SEEDS), 'utf8'));
  return read.ok ? withOwn(all, read.value) : all;
}, {});
const own: OwnTables = {
  ...seeds,
  compounds: [
    {
      ...{ id: 'linalool', threshold_low: '1', threshold: '2', threshold_high: '3' },
      ...{ threshold_sources: 'DEMO-LAB', threshold_note: 'our panel' },
    },
  ],
  descriptors: [
    { driver: 'myrcene', descriptor: 'pine', rank: '1', axis: 'citrus', sources: 'DEMO-LAB' },
  ],
};
const { tables, shares } = evidenceWith(EVIDENCE_TABLES, own);
const tableOf = (kind: string) => tables.find((table) => table.kind === kind)!;
const rowOf = (kind: string, id: string) => {
  const { columns, rows } = tableOf(kind);
  const row = rows.find((of) => of.id === id)!;
  return {
    ...Object.fromEntries(columns.map(({ key }, i) => [key, row.values[i]])),
    mine: row.isOwn === true,
    statuses: row.statuses,
  };
};

test('an own row stands in the place of the published one, and says what it stands for', () => {
  const { low, central, high } = model.parameters['dry_hop.yield.linalool'];
  expect(rowOf('parameter', 'dry_hop.yield.linalool')).toMatchObject({
    ...{ low: 0.6, default: 0.7, high: 0.8, status: 'yours', sources: ['DEMO-LAB'], mine: true },
    note: `invented; in place of the published ${low} to ${high}, middle ${central}`,
  });
  expect(rowOf('threshold', 'linalool')).toMatchObject({
    ...{ low: 1, default: 2, high: 3, status: 'yours', mine: true },
    note: expect.stringMatching(/^our panel; in place of the published/) as string,
  });
  expect(rowOf('weight', 'citrus/myrcene')).toMatchObject({ status: 'yours', mine: true });
  expect(rowOf('source', 'DEMO-LAB')).toMatchObject({ mine: true, statuses: ['yours'] });
  // Seven figures of hops, a parameter, a note, and a threshold in each of three schools.
  expect(rowOf('source', 'DEMO-LAB')).toHaveProperty('figures', 12);
  expect(rowOf('cell', 'cascade/linalool_pct_of_oil')).toMatchObject({ default: 0.55, mine: true });
});

test('every id of an own row has its row, and everything else is as published', () => {
  const { model: of } = ownModel(model, own);
  const all = tables.flatMap(({ kind, rows }) => rows.map((row) => ({ kind, ...row })));
  const anchors = new Set(all.map(({ kind, id }) => anchorOf(kind, id)));
  for (const id of of.own!) expect([...anchors]).toContain(id);
  const published = EVIDENCE_TABLES.filter(({ kind }) => kind !== 'source');
  for (const { kind, rows } of published) {
    const now = new Map(tableOf(kind).rows.map((row) => [row.id, row]));
    for (const row of rows)
      if (!now.get(row.id)!.isOwn) expect(now.get(row.id), anchorOf(kind, row.id)).toEqual(row);
  }
  const yours = tables.flatMap((table) => rowsOf(table, { text: '', status: 'yours' }));
  expect(yours.length).toBeGreaterThan(10);
  expect(yours.every(({ isOwn }) => isOwn)).toBe(true);
});

test('shares count figures of one’s own', () => {
  const [, figures, parameters] = shares;
  expect(figures!.name).toBe(`All figures of ${model.hops.length + 1} hops`);
  expect(figures!.statuses.yours).toBe(7);
  expect(parameters!.statuses.yours).toBe(1);
});
