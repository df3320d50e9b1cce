// The generated tables as text: one record a line, so that a change of one figure is one changed line.
import { csvFormatRows } from 'd3';
import { ANALYTES } from '#shared/ids.ts';
import type { Cell, Hop } from '#shared/schemas/tables.ts';

export function jsonArray(records: readonly unknown[]): string {
  return `[\n${records.map((record) => JSON.stringify(record)).join(',\n')}\n]\n`;
}

/** An object keyed by the id of each record. */
export function jsonObject(records: readonly { id: string }[]): string {
  const lines = records.map((record) => `${JSON.stringify(record.id)}:${JSON.stringify(record)}`);
  return `{\n${lines.join(',\n')}\n}\n`;
}

/** One row a variety; five columns a figure: its centre, its ends, its status and its sources. */
export function hopsCsv(hops: readonly Hop[]): string {
  const header = [
    ...['id', 'name', 'origin', 'origin_status', 'precursor', 'precursor_status'],
    ...['precursor_sources', 'class', 'forms', 'missing'],
    ...[...ANALYTES, 'alpha_kept_6_months_pct'].flatMap((figure) =>
      ['', '_low', '_high', '_status', '_sources'].map((part) => `${figure}${part}`),
    ),
  ];
  const rows = hops.map((hop) => [
    ...[hop.id, hop.name, hop.origin ?? '', hop.originStatus ?? ''],
    ...[hop.precursor.tendency, hop.precursor.status, hop.precursor.sources.join('+')],
    ...[hop.thiolClass, hop.forms.join(';'), hop.missing.join(';')],
    ...ANALYTES.flatMap((analyte) => cellColumns(hop.cells[analyte])),
    ...cellColumns(hop.keeping ?? undefined),
  ]);
  return `${csvFormatRows([header, ...rows])}\n`;
}

function cellColumns(cell: Cell | undefined): string[] {
  if (cell === undefined) return ['', '', '', '', ''];
  const { low, central, high, status, sources } = cell;
  return [String(central), String(low), String(high), status, sources.join('+')];
}
