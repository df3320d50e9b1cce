// Tables of a person's own from a text, CSV or JSON, and what their rows hold. A CSV is recognised by its columns; a
// column that may be empty, or has a usual word, may be left out. Each fault is reported with table, row, column and
// cure. Whether the hops and sources it names exist is checked against the model (engine/tables/own.ts).
import { isFields } from '#shared/fields.ts';
import { csvRows, csvText } from '#shared/lists/csv.ts';
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import { check } from '#shared/reading/check.ts';
import { readJson } from '#shared/reading/json.ts';
import { Problems } from '#shared/reading/problems.ts';
import {
  OWN_FORMAT,
  OWN_ROWS_MAX,
  OWN_TABLES,
  OWN_VERSION,
  ownTablesSchema,
  type OwnRow,
  type OwnTable,
  type OwnTables,
} from '#shared/schemas/own-tables.ts';
import { z } from '#shared/zod.ts';
import * as rows from './rows.ts';

const SCHEMAS = {
  sources: rows.sourceRow,
  varieties: rows.varietyRow,
  measurements: rows.measurementRow,
  // What a parameter or a compound is stays as published: a row gives its figure.
  parameters: z.omit(rows.parameterRow, { label: true, fixed: true }),
  compounds: z.pick(rows.compoundRow, {
    ...{ id: true, threshold_low: true, threshold: true, threshold_high: true },
    ...{ threshold_matrix: true, threshold_status: true, threshold_sources: true },
    threshold_note: true,
  }),
  descriptors: rows.descriptorRow,
  prices: rows.priceRow,
} as const satisfies Readonly<Record<OwnTable, z.ZodMiniObject>>;

/** A row as its table understands it, with its place in the table, from 1. */
export type OwnRead<T extends OwnTable> = z.output<(typeof SCHEMAS)[T]> & { readonly row: number };
export type OwnRows = { readonly [T in OwnTable]: readonly OwnRead<T>[] };

/** Columns that must be written; the others may be left out. */
export const OWN_REQUIRED: Readonly<Record<OwnTable, readonly string[]>> = {
  sources: ['id', 'title'],
  varieties: ['name'],
  measurements: ['variety', 'analyte', 'unit', 'source_id'],
  parameters: ['id', 'low', 'default', 'high', 'sources'],
  compounds: ['id', 'threshold_low', 'threshold', 'threshold_high', 'threshold_sources'],
  descriptors: ['driver', 'descriptor', 'rank', 'axis', 'sources'],
  prices: ['hop', 'form', 'price_per_kg'],
};

/** What a column holds that is left out, or empty where that is not allowed. */
const USUAL: Readonly<Record<OwnTable, OwnRow>> = {
  sources: {
    ...{ authors: 'not given', year: 'not given', where: 'not given', locator: 'not given' },
    read: 'as its owner says',
  },
  varieties: {
    ...{ id: '-', forms: 'pellet_90', forms_status: 'seen', forms_sources: '-' },
    ...{ precursor: 'unknown', precursor_status: 'memory', precursor_sources: '-' },
  },
  measurements: { basis: 'n.s.', form: 'n.s.', status: 'seen' },
  parameters: { unit: '-', status: 'seen' },
  compounds: { threshold_matrix: 'beer', threshold_status: 'seen' },
  descriptors: { stand_in: 'no', status: 'seen' },
  prices: {},
};

/** The columns of a table that a person fills, those that must be written first. */
export function ownColumns(table: OwnTable): string[] {
  const must = OWN_REQUIRED[table];
  return [...must, ...Object.keys(SCHEMAS[table].shape).filter((name) => !must.includes(name))];
}

/** The words a cell of a column is limited to; `null` where anything may stand. */
export function wordsOf(table: OwnTable, column: string): readonly string[] | null {
  const shape: Readonly<Record<string, unknown>> = SCHEMAS[table].shape;
  let { def } = (shape[column] ?? { def: {} }) as { def: Readonly<Record<string, unknown>> };
  if (def['type'] === 'pipe') ({ def } = def['in'] as typeof shape & { def: typeof def });
  return def['type'] === 'enum' ? Object.values(def['entries'] as Record<string, string>) : null;
}

/** Where something is wrong: table, row, column. */
export function ownPlace(table: OwnTable, row: number, column?: string): string {
  return `${table}, row ${row}${column === undefined ? '' : `, column ${column}`}`;
}

/** What the rows hold, and everything in them that no table may hold; rows at fault are left out. */
export function ownRows(own: OwnTables): { rows: OwnRows; problems: readonly Problem[] } {
  const problems = new Problems();
  const read = <T extends OwnTable>(table: T): OwnRead<T>[] =>
    (own[table] ?? []).flatMap((cells, i) => rowOf(table, cells, i + 1, problems) ?? []);
  const all = Object.fromEntries(OWN_TABLES.map((table) => [table, read(table)]));
  return { rows: all as unknown as OwnRows, problems: problems.list };
}

function rowOf<T extends OwnTable>(
  table: T,
  cells: OwnRow,
  row: number,
  problems: Problems,
): OwnRead<T> | undefined {
  const before = problems.count;
  const names = Object.keys(SCHEMAS[table].shape);
  const usual = USUAL[table];
  for (const name of Object.keys(cells)) {
    if (names.includes(name)) continue;
    const cure = `Use one of ${ownColumns(table).join(', ')}, or leave the column out`;
    const message = `no column of ${table} is called ${name}`;
    problems.add(() => ({ path: ownPlace(table, row, name), message, cure }));
  }
  for (const name of OWN_REQUIRED[table]) {
    if ((cells[name] ?? '').trim() !== '') continue;
    const message = 'the cell is empty';
    problems.add(() => ({ path: ownPlace(table, row, name), message, cure: 'Fill it' }));
  }
  if (problems.count > before) return undefined;
  const text = (name: string) => {
    const cell = (cells[name] ?? '').trim();
    return cell === '' ? (usual[name] ?? '') : cell;
  };
  const parsed = SCHEMAS[table].safeParse(
    Object.fromEntries(names.map((name) => [name, text(name)])),
  );
  if (parsed.success) return { ...parsed.data, row } as unknown as OwnRead<T>;
  for (const { path, message: cure } of parsed.error.issues) {
    const name = String(path[0] ?? '');
    const message = `"${text(name).slice(0, 60)}" is not allowed`;
    problems.add(() => ({ path: ownPlace(table, row, name), message, cure }));
  }
  return undefined;
}

/** Which table a list is, by its columns; the one of which most stand there. */
function tableOf(columns: readonly string[]): OwnTable | null {
  const fitting = OWN_TABLES.filter((t) => OWN_REQUIRED[t].every((c) => columns.includes(c)));
  const known = (table: OwnTable) => columns.filter((c) => c in SCHEMAS[table].shape).length;
  return fitting.reduce<OwnTable | null>(
    (best, table) => (best === null || known(table) > known(best) ? table : best),
    null,
  );
}

/** How each table is headed at least, for a cure. */
const HEADS = OWN_TABLES.map((table) => `${table}: ${OWN_REQUIRED[table].join(',')}`).join('; ');

function ofCsv(text: string): Outcome<OwnTables> {
  const list = csvRows(text);
  if (!list.ok) return list;
  const [head, ...body] = list.value.rows;
  const columns = head?.cells.map((cell) => cell.trim().toLowerCase()) ?? [];
  const table = tableOf(columns);
  if (table === null) {
    const message = 'the columns are those of no table known here';
    return failure({
      path: `line ${head?.line ?? 1}`,
      message,
      cure: `Head it as one of ${HEADS}`,
    });
  }
  const problems = new Problems();
  const twice = columns.find((name, i) => name !== '' && columns.indexOf(name) < i);
  if (twice !== undefined) {
    const message = `the column ${twice} is given twice`;
    problems.add(() => ({ path: `line ${head!.line}`, message, cure: 'Keep one of the two' }));
  }
  if (body.length > OWN_ROWS_MAX) {
    const message = `the list has ${body.length} rows, over ${OWN_ROWS_MAX}`;
    problems.add(() => ({
      path: '',
      message,
      cure: 'Leave out rows that equal the published ones',
    }));
  }
  for (const { line, cells } of body) {
    if (cells.slice(columns.length).every((cell) => cell.trim() === '')) continue;
    const message = `the row has ${cells.length} cells, the head has ${columns.length}`;
    problems.add(() => ({ path: `line ${line}`, message, cure: 'Quote cells that hold a comma' }));
  }
  if (problems.count > 0) return failure(...problems.list);
  const own = body.map(({ cells }): OwnRow =>
    Object.fromEntries(
      columns.flatMap((name, i) => {
        const cell = cells[i]?.trim() ?? '';
        return name === '' || cell === '' ? [] : [[name, cell]];
      }),
    ),
  );
  return success({ [table]: own });
}

function ofJson(text: string): Outcome<OwnTables> {
  const { value, problems } = readJson(text);
  if (problems.length > 0) return failure(...problems);
  const cure = `Give a file whose format is "${OWN_FORMAT}", or one table as CSV`;
  if (!isFields(value)) return failure({ path: '', message: 'this holds no tables', cure });
  // Those in a workspace file count too.
  const tables = value['format'] === OWN_FORMAT ? value['tables'] : value['own_tables'];
  if (tables === undefined) return failure({ path: '', message: 'this holds no tables', cure });
  if (value['format'] === OWN_FORMAT && value['version'] !== OWN_VERSION) {
    const message = 'the version of the file is missing or unknown';
    return failure({ path: 'version', message, cure: `Give "version": ${OWN_VERSION}` });
  }
  return check(tables, ownTablesSchema);
}

/**
 * Reads own tables: one as CSV, recognised by its columns, or several as JSON, alone or in a workspace file. Fails
 * with every cell that no such table may hold.
 */
export function readOwnTables(text: string): Outcome<OwnTables> {
  const own = /^\uFEFF?\s*[{[]/.test(text) ? ofJson(text) : ofCsv(text);
  if (!own.ok) return own;
  const { problems } = ownRows(own.value);
  if (problems.length > 0) return failure(...problems);
  const filled = Object.entries(own.value).filter(([, list]) => list.length > 0);
  if (filled.length > 0) return success(Object.fromEntries(filled));
  const message = 'there is no row in it';
  return failure({ path: '', message, cure: 'Give at least one row below the head' });
}

/** Tables put together, later rows after earlier ones; what stands there already is not taken twice. */
export function withOwn(mine: OwnTables, more: OwnTables): OwnTables {
  const joined = OWN_TABLES.flatMap((table): [OwnTable, OwnRow[]][] => {
    const keys = new Set((mine[table] ?? []).map(rowKey));
    const fresh = (more[table] ?? []).filter((row) => !keys.has(rowKey(row)));
    const all = [...(mine[table] ?? []), ...fresh];
    return all.length > 0 ? [[table, all]] : [];
  });
  return Object.fromEntries(joined);
}

const rowKey = (row: OwnRow) => JSON.stringify(Object.entries(row).sort());

/** One table as CSV, with all columns in use; reads back equal. */
export function ownCsv(own: OwnTables, table: OwnTable): string {
  const list = own[table] ?? [];
  const must = OWN_REQUIRED[table];
  const columns = ownColumns(table).filter(
    (name) => must.includes(name) || list.some((row) => row[name]),
  );
  return csvText([columns, ...list.map((row) => columns.map((name) => row[name] ?? ''))]);
}

/** All tables as a file. */
export function ownFile(own: OwnTables) {
  return { format: OWN_FORMAT, version: OWN_VERSION, tables: own };
}
