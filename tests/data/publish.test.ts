// The data package says of each table what stands in it: columns, types, closed lists, keys, and what refers to
// what; every joined source stands in the link table; sources have what a bibliography needs.
import { csvParse } from 'd3';
import { describe, expect, it } from 'vitest';
import { fileText } from './inputs.ts';

interface Field {
  readonly name: string;
  readonly type: 'string' | 'number' | 'boolean';
  readonly trueValues?: readonly string[];
  readonly falseValues?: readonly string[];
  readonly constraints?: { readonly required?: true; readonly enum?: readonly string[] };
}
interface Resource {
  readonly name: string;
  readonly path: string;
  readonly schema: {
    readonly fields: readonly Field[];
    readonly primaryKey?: readonly string[];
    readonly foreignKeys?: readonly {
      readonly fields: string;
      readonly reference: { readonly resource: string; readonly fields: string };
    }[];
  };
}
const described = JSON.parse(fileText('datapackage.json')) as {
  readonly licenses: readonly { name: string }[];
  readonly resources: readonly Resource[];
};
const rowsOf = ({ path }: Resource) => csvParse(fileText(path));
const named = (name: string) => described.resources.find((resource) => resource.name === name)!;

/** Why a cell is not what its field says; `null` where it is. */
function faultOf(cell: string, { type, trueValues, falseValues, constraints }: Field) {
  if (cell === '') return constraints?.required ? 'is empty' : null;
  if (type === 'number' && !Number.isFinite(Number(cell))) return 'is no number';
  if (type === 'boolean' && ![...trueValues!, ...falseValues!].includes(cell)) return 'is no flag';
  return constraints?.enum && !constraints.enum.includes(cell) ? 'is not in the list' : null;
}

describe('the data package', () => {
  it('is under a licence and holds every table', () => {
    expect(described.licenses.map(({ name }) => name)).toEqual(['MIT']);
    expect(described.resources).toHaveLength(12);
  });

  it.each(described.resources.map((resource) => [resource.name, resource] as const))(
    '%s holds what is said of it',
    (_, resource) => {
      const rows = rowsOf(resource);
      const { fields, primaryKey, foreignKeys = [] } = resource.schema;
      expect(rows.length).toBeGreaterThan(0);
      expect([...rows.columns].sort()).toEqual(fields.map(({ name }) => name).sort());
      const faults = rows.flatMap((row, i) =>
        fields.flatMap((field) => {
          const fault = faultOf(row[field.name]!, field);
          return fault === null ? [] : [`row ${i + 1}, ${field.name}: ${fault}`];
        }),
      );
      expect(faults).toEqual([]);
      if (primaryKey) {
        const keys = rows.map((row) => primaryKey.map((name) => row[name]).join('\n'));
        expect(new Set(keys).size).toBe(keys.length);
      }
      for (const { fields: from, reference } of foreignKeys) {
        const known = new Set(
          rowsOf(named(reference.resource)).map((row) => row[reference.fields]),
        );
        expect(rows.map((row) => row[from]).filter((cell) => !known.has(cell))).toEqual([]);
      }
    },
  );

  it('takes joined sources apart, none lost', () => {
    const cited = rowsOf(named('cited'));
    const [myrcene] = rowsOf(named('compounds')).filter((row) => row['id'] === 'linalool');
    const ofLinalool = cited.filter(
      (row) => row['table'] === 'compounds' && row['row'] === 'linalool',
    );
    expect(ofLinalool.map((row) => row['source_id']).join('+')).toBe(myrcene!['threshold_sources']);
    const parameters = rowsOf(named('parameters')).map((row) => row['sources']!.split('+'));
    const ofParameters = cited.filter((row) => row['table'] === 'parameters');
    expect(ofParameters).toHaveLength(parameters.flat().length);
  });
});

describe('sources as CSL-JSON', () => {
  const sources = JSON.parse(fileText('sources.csl.json')) as readonly Record<string, unknown>[];
  const one = (id: string) => sources.find((source) => source['id'] === id);

  it('holds each source once, with its DOI where there is one', () => {
    const ids = rowsOf(named('sources')).map((row) => row['id']);
    expect(sources.map(({ id }) => id)).toEqual(ids);
    const written = rowsOf(named('sources')).filter((row) => /\b10\.\d{4}/.test(row['locator']!));
    expect(sources.filter(({ DOI }) => DOI !== undefined)).toHaveLength(written.length);
    expect(sources.every(({ title, type }) => title !== '' && type !== undefined)).toBe(true);
  });

  it('has people by family name, institutes by their own, years as numbers', () => {
    expect(one('KROFTA-2003')).toMatchObject({
      type: 'article-journal',
      author: [{ family: 'Krofta', given: 'K' }],
      issued: { 'date-parts': [[2003]] },
      DOI: '10.17221/4123-PSE',
    });
    expect(one('USDA-21092')).toMatchObject({
      type: 'webpage',
      author: [{ literal: 'USDA-ARS, Corvallis, Oregon' }],
      issued: { literal: '1990s' },
    });
  });
});
