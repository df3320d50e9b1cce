// The tables as other programs read them: described as a Frictionless data package from the schemas that check their
// rows, the sources of each cell one by one, and the sources for programs that write bibliographies.
import { csvFormatRows } from 'd3';
import type { z } from '#shared/zod.ts';
import * as rows from '#shared/tables/rows.ts';

/** What the description of a table says beside its columns. */
interface TableDescription {
  readonly row: z.ZodMiniObject;
  readonly title: string;
  readonly key?: readonly string[];
  /** Columns whose words are keys of another table. */
  readonly refers?: Readonly<Record<string, readonly [table: string, column: string]>>;
}

const TABLES: Readonly<Record<string, TableDescription>> = {
  'sources.csv': { row: rows.sourceRow, title: 'Sources, with how much was read', key: ['id'] },
  'measurements.csv': {
    row: rows.measurementRow,
    title: 'Figures of varieties, one source each',
    refers: { source_id: ['sources', 'id'] },
  },
  'varieties.csv': { row: rows.varietyRow, title: 'Varieties', key: ['id'] },
  'estimates.csv': { row: rows.estimateRow, title: 'Stated ways to fill cells', key: ['id'] },
  'compounds.csv': { row: rows.compoundRow, title: 'Aroma compounds', key: ['id'] },
  'descriptors.csv': { row: rows.descriptorRow, title: 'What compounds smell of' },
  'parameters.csv': { row: rows.parameterRow, title: 'Process parameters', key: ['id'] },
  'thresholds.csv': {
    row: rows.thresholdRow,
    title: 'Odour thresholds of one school of panels',
    key: ['compound', 'school'],
    refers: { compound: ['compounds', 'id'] },
  },
  'sensory.csv': {
    row: rows.sensoryRow,
    title: 'Words said of varieties, one witness each',
    refers: {
      source_id: ['sources', 'id'],
      word: ['words', 'word'],
      variety: ['varieties', 'name'],
    },
  },
  'words.csv': { row: rows.wordRow, title: 'The axis a word belongs to', key: ['word'] },
};

const LICENCE = { name: 'MIT', title: 'MIT License', path: 'https://opensource.org/license/mit' };
const JOINED = 'ids of sources, joined by +';

/** One column, as its schema understands the text of a cell. */
function field(name: string, schema: unknown): object {
  const required = { constraints: { required: true } };
  if (schema === rows.numeric) return { name, type: 'number', ...required };
  if (schema === rows.numericOrEmpty) return { name, type: 'number' };
  if (schema === rows.flag)
    return { name, type: 'boolean', trueValues: ['yes'], falseValues: ['no'], ...required };
  if (schema === rows.ids) return { name, type: 'string', description: JOINED, ...required };
  if (schema === rows.idsOrEmpty) return { name, type: 'string', description: JOINED };
  const { def } = schema as { def: { type: string; entries?: Readonly<Record<string, string>> } };
  if (def.type === 'enum') {
    const words = Object.values(def.entries!);
    const known = words.filter((word) => word !== '');
    return {
      name,
      type: 'string',
      constraints: { enum: known, ...(known.length === words.length && { required: true }) },
    };
  }
  const mayBeEmpty = (schema as z.ZodMiniType).safeParse('').success;
  return { name, type: 'string', ...(mayBeEmpty ? {} : required) };
}

const nameOf = (file: string) => file.replace(/\.csv$/, '');

function resource(file: string, title: string, schema: object): object {
  return {
    ...{ name: nameOf(file), path: file, title, format: 'csv', mediatype: 'text/csv' },
    ...{ encoding: 'utf-8', profile: 'tabular-data-resource', schema },
  };
}

/** @param hopColumns columns of hops.csv, in their order. */
export function dataPackage(hopColumns: readonly string[]): string {
  const kept = Object.entries(TABLES).map(([file, { row, title, key, refers = {} }]) =>
    resource(file, title, {
      fields: Object.entries(row.shape).map(([name, schema]) => field(name, schema)),
      missingValues: [''],
      ...(key && { primaryKey: key }),
      foreignKeys: Object.entries(refers).map(([from, [table, column]]) => {
        return { fields: from, reference: { resource: table, fields: column } };
      }),
    }),
  );
  const figures = new Set(hopColumns.filter((name) => hopColumns.includes(`${name}_low`)));
  const isFigure = (name: string) => figures.has(name.replace(/_(low|high)$/, ''));
  const made = [
    resource('hops.csv', 'Varieties with all their cells', {
      fields: hopColumns.map((name) => ({ name, type: isFigure(name) ? 'number' : 'string' })),
      missingValues: [''],
      primaryKey: ['id'],
      foreignKeys: [{ fields: 'id', reference: { resource: 'varieties', fields: 'id' } }],
    }),
    resource('cited.csv', 'One source that one row of a table rests on', {
      fields: CITED.map((name) => ({ name, type: 'string', constraints: { required: true } })),
      missingValues: [''],
      primaryKey: CITED,
      foreignKeys: [{ fields: 'source_id', reference: { resource: 'sources', fields: 'id' } }],
    }),
  ];
  const described = {
    ...{ profile: 'tabular-data-package', name: 'blendbine-hops' },
    title:
      'Hop composition, odour thresholds and process parameters, each figure with source and status',
    licenses: [LICENCE],
  };
  // A table a line, as in the other files that are written: indented, it takes more of the npm package.
  const head = JSON.stringify(described).slice(0, -1);
  const tables = [...kept, ...made].map((table) => JSON.stringify(table));
  return `${head},"resources":[\n${tables.join(',\n')}\n]}\n`;
}

const CITED = ['table', 'row', 'column', 'source_id'] as const;
/** The columns that distinguish a row from the others of its table. */
const ROW_NAMES = [['id'], ['compound', 'school'], ['driver', 'descriptor']] as const;

/** Every source that stands in a joined cell, one a line. */
export function citedCsv(tables: Readonly<Record<string, readonly object[]>>): string {
  const lines = Object.entries(tables).flatMap(([file, all]) =>
    (all as readonly Readonly<Record<string, unknown>>[]).flatMap((row) => {
      const columnsOfName = ROW_NAMES.find((columns) => columns.every((column) => column in row))!;
      const name = columnsOfName.map((column) => String(row[column])).join(' ');
      return Object.entries(TABLES[file]!.row.shape).flatMap(([column, schema]) =>
        schema === rows.ids || schema === rows.idsOrEmpty
          ? [...new Set(row[column] as readonly string[])].map((id) => [
              nameOf(file),
              name,
              column,
              id,
            ])
          : [],
      );
    }),
  );
  return `${csvFormatRows([[...CITED], ...lines])}\n`;
}

/** "Krofta K" as family and given name; `null` for an institute or a description. */
function person(text: string): object | null {
  const found = /^(\p{Lu}[\p{L}'’ -]*\p{L}) (\p{Lu}{1,3})$/u.exec(text);
  return found ? { family: found[1], given: found[2] } : null;
}

function authorsOf(authors: string): readonly object[] {
  if (authors === 'not named') return [];
  const others = authors.endsWith(' and others');
  const names = authors.replace(/ and others$/, '').split(', ');
  const people = names.flatMap((name) => person(name) ?? []);
  if (people.length < names.length) return [{ literal: authors }];
  return others ? [...people, { literal: 'and others' }] : people;
}

/** The sources as CSL-JSON. */
export function cslSources(sources: readonly rows.SourceRow[]): string {
  const items = sources.map(({ id, authors, year, title, where, locator, read }) => {
    const doi = /\b10\.\d{4,9}\/[^\s;,]+/.exec(locator)?.[0];
    const address = /^(?:https?:\/\/)?((?:[\w-]+\.)+[a-z]{2,}\/\S+)$/.exec(locator)?.[1];
    const names = authorsOf(authors);
    const issued = /^\d{4}$/.test(year) ? { 'date-parts': [[Number(year)]] } : { literal: year };
    return {
      ...{ id, type: doi ? 'article-journal' : address ? 'webpage' : 'document', title },
      ...(names.length > 0 && { author: names }),
      ...(year !== 'not dated' && { issued }),
      'container-title': where,
      ...(doi && { DOI: doi }),
      ...(address && { URL: `https://${address}` }),
      note: `Read: ${read}`,
    };
  });
  return `[\n${items.map((item) => JSON.stringify(item)).join(',\n')}\n]\n`;
}
