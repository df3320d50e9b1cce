// How long hostile texts take to be read, each at one size and at twice that size: work that is linear
// takes twice as long, and none takes half a second. And a workspace of as much as one may hold.
import { bench, describe } from 'vitest';
import { csvRows } from '#shared/lists/csv.ts';
import { readJson } from '#shared/reading/json.ts';
import { LOT_MEANINGS, matchHeaders } from '#shared/lists/lot-columns.ts';
import { decimalMarksOf } from '#shared/lists/figures.ts';
import { holdsFigures, readRow } from '#shared/lists/lot-list.ts';
import { readSchedule } from '#shared/reading/read.ts';
import { readWorkspace } from '#shared/reading/read-workspace.ts';
import { BY_EDITS, type SavedDesign } from '#shared/schemas/workspace.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { merged } from '#state/documents/arrivals.ts';
import { savedDesign, workspaceOf } from '#state/documents/documents.ts';

const OPTIONS = { time: 0, iterations: 7, warmupTime: 0, warmupIterations: 2 };
const times = (count: number, text: string) => Array.from({ length: count }, () => text).join(',');
const fields = (count: number) =>
  Object.fromEntries(Array.from({ length: count }, (_, i) => [`field_${i}`, 1]));
const workspace = (more: object) =>
  JSON.stringify({ format: 'blendbine-workspace', version: 1, ...more });

function list(text: string): unknown {
  const outcome = csvRows(text);
  if (!outcome.ok) return outcome;
  const [header, ...rows] = outcome.value.rows;
  const meanings = matchHeaders(header!.cells, LOT_MEANINGS);
  const { mark } = decimalMarksOf(rows, meanings.map(holdsFigures), outcome.value.delimiter);
  return rows.map((row) => readRow(row, { meanings, decimalMark: mark ?? 'point', form: 'cone' }));
}

/** By what each is: its size, the text of a size, and the reader. */
const HOSTILE: Readonly<
  Record<string, readonly [number, (size: number) => string, (text: string) => unknown]>
> = {
  'fields given twice': [10_000, (n) => `{${times(n, '"a":1')}}`, readJson],
  'words that are no figures': [10_000, (n) => `[${times(n, 'NaN')}]`, readJson],
  'fields nobody knows': [10_000, (n) => JSON.stringify(fields(n)), readSchedule],
  'faults in every lot': [
    BY_EDITS.lots / 2,
    (n) => workspace({ lots: Array.from({ length: n }, () => fields(26)) }),
    readWorkspace,
  ],
  'a cell of digits': [30_000, (n) => `hop,alpha\nCitra,${'9'.repeat(n)}\n`, list],
  'a cell of blanks': [30_000, (n) => `hop,alpha\nCitra,1${' '.repeat(n)}x\n`, list],
  'quotes left open': [30_000, (n) => `hop,alpha\n${'"a"b",\n'.repeat(n)}`, list],
  'figures that are none': [
    BY_EDITS.lots / 2,
    (n) => `hop,alpha,beta,oil,grams\n${'Citra,a,b,c,d\n'.repeat(n)}`,
    list,
  ],
};

for (const [name, [size, text, read]] of Object.entries(HOSTILE)) {
  describe(name, () => {
    for (const count of [size, 2 * size]) {
      const written = text(count);
      bench(`${count}`, () => void read(written), OPTIONS);
    }
  });
}

describe(`a workspace of ${BY_EDITS.lots} lots and ${BY_EDITS.designs} designs`, () => {
  const filled = (from: number) => {
    const designs = Array.from({ length: BY_EDITS.designs }, (_, i): SavedDesign => {
      const { brief } = SEED_BRIEFS[i % SEED_BRIEFS.length]!;
      return { ...savedDesign({ ...brief, name: `Design ${from + i}` }), id: `d-${from + i}` };
    });
    const lots = Array.from({ length: BY_EDITS.lots }, (_, i) => ({
      ...{ id: `l-${from + i}`, hop: 'Citra', form: 'cone' as const, grams_on_hand: from + i },
      ...{ price_per_kg: 30, harvest_year: 2025, note: '', out_of_stock: false },
      analysis: { alpha_pct: 12.5, total_oil_ml_per_100g: 2 },
    }));
    return workspaceOf(designs as [SavedDesign, ...SavedDesign[]], lots);
  };
  const here = filled(0);
  const text = JSON.stringify(filled(BY_EDITS.lots));
  const reading = readWorkspace(text);
  if (!reading.ok || 'kind' in reading.value) throw new Error('a sound workspace');
  const incoming = reading.value;
  bench('taken apart by the language', () => void JSON.parse(text), OPTIONS);
  bench('read', () => void readWorkspace(text), OPTIONS);
  bench('compared with as many others', () => void merged(here, incoming), OPTIONS);
});
