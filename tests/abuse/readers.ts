// Every entrance, with hostile texts drawn for it and the laws it is held to (`laws.ts`).
import { deflateRawSync } from 'node:zlib';
import { readFileSync } from 'node:fs';
import { isDeepStrictEqual } from 'node:util';
import { csvRows, csvText } from '#shared/lists/csv.ts';
import { ANALYTES } from '#shared/ids.ts';
import { readJson } from '#shared/reading/json.ts';
import { dateOrdersOf } from '#shared/lists/date-words.ts';
import {
  ADDITION_MEANINGS,
  LOT_COLUMNS,
  LOT_MEANINGS,
  type ColumnMeaning,
} from '#shared/lists/lot-columns.ts';
import { dateProblems } from '#shared/lists/lot-dates.ts';
import { decimalMarksOf } from '#shared/lists/figures.ts';
import { listIn } from '#shared/lists/list.ts';
import {
  holdsFigures,
  insteadOf,
  readRow,
  rowsOf,
  type ListReading,
  type ReadRow,
} from '#shared/lists/lot-list.ts';
import type { KnownHops } from '#shared/lists/hop-names.ts';
import { nameKey } from '#shared/name-key.ts';
import { nearestNames } from '#shared/names.ts';
import { readBrief, readSave, readSchedule, readSwap } from '#shared/reading/read.ts';
import { readWorkspace, type WorkspaceReading } from '#shared/reading/read-workspace.ts';
import { readAddition } from '#shared/lists/schedule-list.ts';
import {
  SHARE_PREFIX,
  WORKSPACE_FORMAT,
  type SavedDesign,
  type SavedLot,
  type WorkspaceDocument,
} from '#shared/schemas/workspace.ts';
import { workspaceSchema } from '#shared/schemas/workspace-file.ts';
import { scheduleSchema } from '#shared/schemas/brief.ts';
import { stockIn } from '#shared/lists/stock.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { merged } from '#state/documents/arrivals.ts';
import { savedDesign, workspaceOf } from '#state/documents/documents.ts';
import { textOfFile } from '#shared/reading/text-file.ts';
import { shareFragment, sharedDesign } from '#storage/share-link.ts';
import { documentText, Draw, drawnList, mutatedText } from './hostile.ts';
import { Broken, figures, must, same, sound, readable, type Ran } from './laws.ts';
import { ownCase } from './own.ts';
import { recipeCase } from './recipes.ts';
import { sharedMapsCase } from './shared-maps.ts';

export const KINDS = [
  'json',
  'csv',
  'schedule',
  'workspace',
  'link',
  'beerjson',
  'beerxml',
  'own',
  'freezer',
] as const;
export type Kind = (typeof KINDS)[number];

const scheduleOf = (name: string): unknown =>
  JSON.parse(readFileSync(new URL(`../../seeds/schedules/${name}.json`, import.meta.url), 'utf8'));
const SWAP = scheduleOf('out-of-stock');
const SAVE = scheduleOf('cheaper');
const { batch, stages, additions } = SAVE as Record<string, unknown>;
const BRIEFS = SEED_BRIEFS.map(({ brief }) => brief);
const SCHEDULES = [SWAP, SAVE, { name: 'A', batch, stages, additions }];
const DESIGN: SavedDesign = {
  ...savedDesign(BRIEFS[0]!, {
    blend: [{ hop: 'Citra', form: 'cone', stage: 'dry_hop', grams: 12.5 }],
    own: [{ hop: 'Saaz', form: 'cone', stage: 'mash', grams: 4, locked: true }],
    note: ' “ü” ',
  }),
  id: 'a-1',
  saved_at: '2026-03-31T10:00:00.000Z',
};
const LOT: SavedLot = {
  id: 'l-1',
  hop: 'Citra',
  form: 'pellet_90',
  grams_on_hand: 300,
  price_per_kg: 38.5,
  harvest_year: 2024,
  opened_on: '2026-01-15',
  storage_temp_c: -18,
  pack: 'vacuum',
  storage_index: 0.31,
  note: '=1+1',
  out_of_stock: false,
  analysis: { alpha_pct: 12.5 },
};
const WORKSPACE: WorkspaceDocument = {
  ...workspaceOf(
    // A name as long as a name may nearly be, to be told apart from itself.
    [DESIGN, { ...DESIGN, id: 'a-2', brief: { ...BRIEFS[1]!, name: 'y'.repeat(199) }, own: [] }],
    [LOT, { ...LOT, id: 'l-2', note: '' }],
  ),
  usual: scheduleSchema.parse(SCHEDULES[2]),
};
const STOCK = readFileSync(new URL('../../seeds/stock.csv', import.meta.url), 'utf8')
  .split('\n')
  .slice(0, 6)
  .join('\n');

function json(draw: Draw): Ran {
  const text = documentText(draw, draw.of([...BRIEFS, ...SCHEDULES, LOT, [1, 'a', null]]));
  const reading = readJson(text);
  readable(reading.problems);
  if (reading.problems.length === 0) {
    figures(reading.value);
    const plain: unknown = JSON.parse(text.replace(/^\uFEFF/, ''));
    must(
      JSON.stringify(plain) === JSON.stringify(reading.value),
      'JSON is read as the language does',
      text,
    );
  }
  sound(textOfFile(new TextEncoder().encode(text), 'a file'));
  const brief = sound(readBrief(text));
  if (brief) same(readBrief(JSON.stringify(brief)), { ok: true, value: brief });
  return { text, taken: reading.problems.length === 0 };
}

const COLUMNS = [
  ...LOT_COLUMNS.slice(0, 14),
  ...[
    'Sorte',
    'Menge',
    'kg',
    'oz',
    'Preis',
    'Alpha %',
    'HSI',
    'note',
    'Shelf',
    'hop',
    'hop',
    'form',
    'temp F',
    ...['Menge (g)', 'Unit', 'g/L', 'opened', 'Zugabe', 'kolik gramů', 'Preis/100 g', 'Dauer'],
  ],
  ...['storage_months', 'packed', 'stage', 'grams', ...ANALYTES.slice(0, 4)],
];
const NAMES = ['Citra', 'Saaz', 'Hallertau Mittelfrüh', '=Citra', "'Citra", ''];
const CELLS: Readonly<Record<string, readonly string[]>> = {
  hop: NAMES,
  Sorte: NAMES,
  form: ['cone', 'T90', 'pellet_90', 'leaf', 'x', ''],
  stage: ['mash', 'whirlpool', 'dh', 'boil', '60 min', ''],
  note: ['', ' a ', '=1+1', "'=1", '-18', '"', 'a;b', 'two\nlines', '\t', '   '],
  opened_on: ['2026-01-15', '15.1.2026', '9999-12-31', '2026-02-30', ''],
  opened: ['05/10/2025', '14 Nov 2025', '31/12/2025', '1/1/1', 'ja', ''],
  Zugabe: ['Kochen 60 min', '10 min vor Kochende', 'Stopfen 3 Tage', 'á cru', '60'],
  pack: ['vacuum', 'foil', 'open', ''],
  out_of_stock: ['yes', 'x', 'false', '0', ''],
  '': [
    '12.5',
    '9,1',
    '1.500',
    '1,500',
    '1.234,5',
    '-0',
    '-18',
    '1e3',
    '1e999',
    '12 %',
    '0',
    '',
    '2024',
    "1'000",
    ...['1 lb 4 oz', '½ lb', '4,80 €/100 g', '0.125', '11-13 %', '32oz', '-18 °C', 'Total', 'kg'],
  ],
};

function listText(draw: Draw, seed: string): string {
  const text = draw.chance(0.7) ? drawnList(draw, COLUMNS, CELLS) : seed;
  return draw.chance(0.5) ? mutatedText(draw, text) : text;
}

/** A hop table of a few names, all near to whatever is long enough. */
const HOPS: KnownHops = {
  named: (name) => NAMES.find((known) => known !== '' && nameKey(known) === nameKey(name)),
  near: (name) => nearestNames(name, NAMES.slice(0, 3)),
};

/** The rows of a list, each read as a page reads it, where nothing must be asked first. */
function rowsRead<T>(
  text: string,
  known: readonly ColumnMeaning[],
  read: (row: Parameters<typeof readRow>[0], reading: ListReading) => ReadRow<T>,
): T[] {
  const list = sound(csvRows(text));
  if (!list) return [];
  const cells = list.rows.map((row) => row.cells);
  const again = sound(csvRows(csvText(cells)));
  same(
    again?.rows.map((row) => row.cells),
    cells,
  );
  const found = sound(listIn(text, known));
  if (!found) return [];
  const { headers, meanings, rows, delimiter } = found;
  const marks = decimalMarksOf(rows, meanings.map(holdsFigures), delimiter);
  const dates = dateOrdersOf(
    rows,
    meanings.findIndex((m) => m?.column === 'opened_on'),
  );
  if (marks.mark === null || dates.order === null) return [];
  const reading: ListReading = {
    ...{ meanings, headers, decimalMark: marks.mark, dateOrder: dates.order, form: 'cone' },
    ...{ hops: HOPS, beerL: 20 },
  };
  return rows.flatMap((row) => {
    const { outcome, at } = read(row, reading);
    at.forEach((i) => {
      const [meaning, cell] = [meanings[i], row.cells[i]];
      const others = meaning && cell !== undefined ? insteadOf(cell, meaning, reading) : [];
      must(
        others.length <= 4 && others.join('').length < 500,
        'what could stand there is short',
        others,
      );
    });
    return sound(outcome) ?? [];
  });
}

function csv(draw: Draw): Ran {
  const text = listText(draw, STOCK);
  const lots = rowsRead(text, LOT_MEANINGS, readRow);
  for (const lot of lots) readable(dateProblems(lot, '2026-03-15'));
  if (lots.length > 0) same(rowsRead(csvText(rowsOf(lots)), LOT_MEANINGS, readRow), lots);
  const stock = sound(stockIn(text, HOPS));
  return { text, taken: lots.length > 0 || stock !== undefined };
}

function schedule(draw: Draw): Ran {
  if (draw.chance(0.5)) {
    const text = listText(draw, 'hop,stage,grams,form\nCitra,mash,5,cone\nSaaz,dh,1.500,T90\n');
    return { text, taken: rowsRead(text, ADDITION_MEANINGS, readAddition).length > 0 };
  }
  const text = documentText(draw, draw.of(SCHEDULES));
  let taken = false;
  for (const read of [readSchedule, readSwap, readSave] as const) {
    const value = sound<unknown>(read(text));
    if (value === undefined) continue;
    taken = true;
    same(read(JSON.stringify(value)), { ok: true, value });
  }
  return { text, taken };
}

function workspace(draw: Draw): Ran {
  const text = documentText(draw, WORKSPACE);
  const reading = sound(readWorkspace(text));
  if (!reading || 'kind' in reading) return { text, taken: false };
  readable(reading.problems);
  const { problems: _, ...parts } = reading;
  const there = Object.entries(parts).filter(([, part]) => part !== null);
  const file = { format: WORKSPACE_FORMAT, version: 1, ...Object.fromEntries(there) };
  const whole: WorkspaceReading = { ...reading, problems: [] };
  same(readWorkspace(JSON.stringify(file)), { ok: true, value: whole });
  const { document } = merged(WORKSPACE, reading);
  must(workspaceSchema.safeParse(document).success, 'what is merged is a workspace', text);
  return { text, taken: reading.problems.length === 0 };
}

async function link(draw: Draw): Promise<Ran> {
  const { brief, blend, own, note } = DESIGN;
  const text = documentText(draw, { brief, blend, own, note });
  const packed = draw.chance(0.5);
  const bytes = packed ? deflateRawSync(text) : Buffer.from(text);
  const body = `${packed ? 'z' : 'p'}${bytes.toString('base64url')}`;
  const whole = `${SHARE_PREFIX}1${body}`;
  const fragment = draw.chance(0.3) ? mutatedText(draw, whole) : whole;
  const design = sound(await sharedDesign(fragment));
  if (!design) return { text: fragment, taken: false };
  const again = await shareFragment({ ...DESIGN, ...design });
  if (again.ok) {
    const expected = { ...(DESIGN.blend && { blend: DESIGN.blend }), own: DESIGN.own, ...design };
    const read = await sharedDesign(again.value);
    must(
      read.ok && isDeepStrictEqual({ ...read.value }, expected),
      'a link reads back equal',
      fragment,
    );
  }
  return { text: fragment, taken: true };
}

const CASES: Readonly<Record<Kind, (draw: Draw) => Ran | Promise<Ran>>> = {
  ...{ json, csv, schedule, workspace, link },
  beerjson: (draw) => recipeCase(draw, 'beerjson'),
  beerxml: (draw) => recipeCase(draw, 'beerxml'),
  own: ownCase,
  freezer: sharedMapsCase,
};

/** Runs one case of a kind. @throws where a law is broken or a reader throws, naming the case. */
export async function runCase(kind: Kind, seed: number, number: number): Promise<Ran> {
  try {
    return await CASES[kind](new Draw(seed, number * KINDS.length + KINDS.indexOf(kind)));
  } catch (cause) {
    const reason =
      cause instanceof Error ? (cause instanceof Broken ? cause.message : cause.stack) : cause;
    throw new Error(`${kind}, seed ${seed}, case ${number}: ${String(reason)}`, { cause });
  }
}
