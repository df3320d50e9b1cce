// How long hostile texts take to be read, each at one size and at half of it: work that is linear takes
// twice as long, and none takes half a second of the processor. And a workspace of as much as one may hold.
import { bench, describe } from 'vitest';
import { knownHops } from '#engine/lot/composition.ts';
import { model } from '#engine/tables/model.ts';
import { stockIn } from '#shared/lists/stock.ts';
import { readJson } from '#shared/reading/json.ts';
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

const hops = knownHops(model);
const stock = (text: string) => stockIn(text, hops);
const rows = (count: number, row: (i: number) => string) =>
  Array.from({ length: count }, (_, i) => `${row(i)}\n`).join('');

/** By what each is: its largest size, the text of a size, and the reader. */
const HOSTILE: Readonly<
  Record<string, readonly [number, (size: number) => string, (text: string) => unknown]>
> = {
  'fields given twice': [200_000, (n) => `{${times(n, '"a":1')}}`, readJson],
  'words that are no figures': [100_000, (n) => `[${times(n, 'NaN')}]`, readJson],
  'fields nobody knows': [130_000, (n) => JSON.stringify(fields(n)), readSchedule],
  'faults in every lot of a workspace': [
    BY_EDITS.lots,
    (n) => workspace({ lots: Array.from({ length: n }, () => fields(26)) }),
    readWorkspace,
  ],
  'a cell of digits': [60_000, (n) => `hop,alpha\nCitra,${'9'.repeat(n)}\n`, stock],
  'a cell of blanks': [60_000, (n) => `hop,alpha\nCitra,1${' '.repeat(n)}x\n`, stock],
  'rows of quotes left open': [170_000, (n) => `hop,alpha\n${rows(n, () => '"a"b,')}`, stock],
  'rows without a figure': [
    170_000,
    (n) => `hop,alpha,beta,oil,grams\n${rows(n, () => 'Citra,a,b,c,d')}`,
    stock,
  ],
  'lots without a figure': [
    BY_EDITS.lots,
    (n) => `hop,alpha,beta,oil,grams\n${rows(n, () => 'Citra,a,b,c,d')}`,
    stock,
  ],
  'lots of hops near those of the table': [
    BY_EDITS.lots,
    (n) => `hop,alpha,grams\n${rows(n, (i) => `Citrra ${i},1,2`)}`,
    // A table of its own each time: names once asked for are remembered.
    (text) => stockIn(text, knownHops(model)),
  ],
};

/** Time of the processor, ms: the middle of some runs. */
function processorMs(run: () => unknown): number {
  const taken = Array.from({ length: 5 }, () => {
    const { user, system } = process.cpuUsage();
    run();
    const after = process.cpuUsage();
    return (after.user - user + after.system - system) / 1000;
  });
  return taken.sort((a, b) => a - b)[2]!;
}

describe('hostile texts', () => {
  for (const [name, [size, text, read]] of Object.entries(HOSTILE)) {
    const [half, whole] = [size / 2, size].map((count) => {
      const written = text(count);
      return processorMs(() => read(written));
    }) as [number, number];
    console.log(
      `${size} ${name}: ${whole.toFixed(1)} ms, ${(whole / half).toFixed(1)} times that of half of it`,
    );
  }
  const [size, text] = HOSTILE['rows without a figure']!;
  const written = text(size);
  bench('rows without a figure', () => void stock(written), OPTIONS);
});

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
