// The tables of evidence: complete, findable, and every link leads to a row.
import { csvParseRows, csvFormatRows } from 'd3';
import { expect, test } from 'vitest';
import compounds from '#data/generated/compounds.json' with { type: 'json' };
import parameters from '#data/generated/parameters.json' with { type: 'json' };
import sources from '#data/generated/sources.json' with { type: 'json' };
import { STATUSES } from '#shared/ids.ts';
import { ALL_EVIDENCE, anchorOf, csvRows, rowsOf } from '#state/reference/evidence-list.ts';
import { EVIDENCE_TABLES, STATUS_SHARES } from '#state/reference/evidence-tables.ts';

const tableOf = (kind: string) => EVIDENCE_TABLES.find((table) => table.kind === kind)!;
const idsOf = (kind: string) => tableOf(kind).rows.map(({ id }) => id);

test('every parameter, compound and source has its row', () => {
  expect(idsOf('parameter')).toEqual(Object.keys(parameters));
  expect(idsOf('source')).toEqual(Object.keys(sources));
  for (const { id } of compounds) expect(idsOf('threshold')).toContain(id);
});

test('anchors are unique, and every id in a linking column has a row', () => {
  const anchors = EVIDENCE_TABLES.flatMap(({ kind, rows }) =>
    rows.map((r) => anchorOf(kind, r.id)),
  );
  expect(new Set(anchors).size).toBe(anchors.length);
  const kinds = { sources: 'source', equations: 'equation', parameters: 'parameter' } as const;
  for (const { columns, rows } of EVIDENCE_TABLES) {
    for (const row of rows) {
      expect(row.values).toHaveLength(columns.length);
      columns.forEach(({ as }, i) => {
        if (!(as in kinds)) return;
        for (const id of row.values[i] as readonly string[]) {
          expect(anchors).toContain(anchorOf(kinds[as as keyof typeof kinds], id));
        }
      });
    }
  }
});

test('a search wants every word, in any case; a status only its figures', () => {
  const table = tableOf('parameter');
  const found = rowsOf(table, { text: 'LINALOOL dry hop yield', status: 'any' });
  expect(found.map(({ id }) => id)).toContain('dry_hop.yield.linalool');
  expect(found.length).toBeLessThan(table.rows.length / 5);
  expect(rowsOf(table, ALL_EVIDENCE)).toHaveLength(table.rows.length);
  const parts = STATUSES.map((status) => rowsOf(table, { text: '', status }).length);
  expect(parts.reduce((a, b) => a + b)).toBe(table.rows.length);
  expect(
    rowsOf(table, { text: '', status: 'memory' }).every((r) => r.statuses[0] === 'memory'),
  ).toBe(true);
});

test('a table comes back from its file', () => {
  for (const table of EVIDENCE_TABLES) {
    const rows = csvRows(table, table.rows);
    expect(csvParseRows(csvFormatRows(rows))).toEqual(rows);
    expect(rows).toHaveLength(table.rows.length + 1);
  }
});

test('shares count every figure once', () => {
  const parameterShares = STATUS_SHARES.find(({ name }) => name === 'Process parameters')!;
  const total = Object.values(parameterShares.statuses).reduce((a, b) => a + b);
  expect(total).toBe(Object.keys(parameters).length);
});
