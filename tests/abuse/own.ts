// Hostile own tables: CSV with drawn columns and cells, JSON changed at random. What is taken reads back equal,
// goes out as CSV that reads back equal, and makes a model whose figures are all finite and in their order.
import { readFileSync, readdirSync } from 'node:fs';
import { OWN_TABLES, type OwnTables } from '#shared/schemas/own-tables.ts';
import {
  OWN_REQUIRED,
  ownColumns,
  ownCsv,
  ownFile,
  readOwnTables,
  withOwn,
  wordsOf,
} from '#shared/tables/own-tables.ts';
import { model } from '#engine/tables/model.ts';
import { ownModel } from '#engine/tables/own.ts';
import { documentText, mutatedText, type Draw } from './hostile.ts';
import { must, same, sound, readable, type Ran } from './laws.ts';

const SEEDS = new URL('../../seeds/own/', import.meta.url);
const TEXTS = readdirSync(SEEDS).map((name) => readFileSync(new URL(name, SEEDS), 'utf8'));
const OWN = TEXTS.reduce<OwnTables>((all, text) => {
  const read = readOwnTables(text);
  return read.ok ? withOwn(all, read.value) : all;
}, {});

const FIGURES = ['0', '0.5', '12', '1e3', '1e999', '-1', '', '1,5', 'NaN', '0x1', '9'.repeat(400)];
const NAMES = ['Citra', 'Demo Seedling', 'citra', '=Citra', '__proto__', 'constructor', '', 'Ž 9'];
const CELLS: Readonly<Record<string, readonly string[]>> = {
  ...Object.fromEntries(['variety', 'hop', 'name'].map((column) => [column, NAMES])),
  id: ['linalool', 'myrcene', 'oil.density', 'dry_hop.yield.linalool', 'toString', 'X', ''],
  analyte: ['alpha', 'total_oil', 'linalool', 'sh3', 'alpha_kept_6_months', 'valueOf', ''],
  unit: ['pct_w/w', 'pct_of_oil', 'mL/100g', 'ug/kg', 'fraction', 'g/mL', 'toString', ''],
  form: ['cone', 'pellet_90', 'pellet', 'n.s.', ''],
  forms: ['cone', 'pellet_90;cone', ';', ''],
  axis: ['citrus', 'floral', 'x', ''],
  driver: ['linalool', 'leaf', 'x', ''],
  rank: ['1', '2', '4', '5', '1.5', ''],
  ...Object.fromEntries(
    ['source_id', 'sources', 'threshold_sources'].map((c) => [c, ['CALC', 'CALC+X', '+', '']]),
  ),
};

export function ownCase(draw: Draw): Ran {
  const text = ownText(draw);
  const own = sound(readOwnTables(text));
  if (!own) return { text, taken: false };
  same(readOwnTables(JSON.stringify(ownFile(own))), { ok: true, value: own });
  for (const table of OWN_TABLES) {
    const rows = own[table];
    if (!rows) continue;
    const again = sound(readOwnTables(ownCsv(own, table)));
    // A blank around a cell means nothing.
    const plain = rows.map((row) =>
      Object.fromEntries(
        Object.entries(row).flatMap(([c, cell]) => (cell.trim() ? [[c, cell.trim()]] : [])),
      ),
    );
    same(again?.[table], plain);
  }
  const { model: laid, problems } = ownModel(model, own);
  readable(problems);
  for (const hop of laid.hops) for (const cell of Object.values(hop.cells)) rises(cell, text);
  for (const row of Object.values(laid.parameters)) rises(row, text);
  for (const { weight } of laid.weights) must(weight > 0 && weight <= 1, 'a weight is one', text);
  return { text, taken: problems.length === 0 };
}

function rises({ low, central, high }: Record<'low' | 'central' | 'high', number>, text: string) {
  must(low <= central && central <= high && Number.isFinite(high - low), 'a range rises', text);
}

function ownText(draw: Draw): string {
  if (draw.chance(0.4)) return documentText(draw, ownFile(OWN));
  const table = draw.of(OWN_TABLES);
  const columns = [...OWN_REQUIRED[table], ...ownColumns(table).filter(() => draw.chance(0.2))];
  const cellOf = (column: string) => draw.of(wordsOf(table, column) ?? CELLS[column] ?? FIGURES);
  const rows = Array.from({ length: 1 + draw.below(4) }, () => columns.map(cellOf));
  const drawn = [columns, ...rows].map((row) => row.join(',')).join('\n');
  const text = draw.chance(0.5) ? drawn : draw.of(TEXTS);
  return draw.chance(0.5) ? mutatedText(draw, text) : text;
}
