// Own tables against the published ones, for the page that keeps them: which rows cannot be used and why, why a new
// row would be refused, and which words a cell may hold. Loads the hop table.
import type { Problem } from '#shared/outcome.ts';
import type { OwnRow, OwnTable, OwnTables } from '#shared/schemas/own-tables.ts';
import { ownPlace, ownRows, withOwn, wordsOf } from '#shared/tables/own-tables.ts';
import { measuredAnalytes } from '#shared/tables/units.ts';
import { model, type Model } from '#engine/tables/model.ts';
import { ownModel } from '#engine/tables/own.ts';

export {
  readOwnTables,
  ownColumns,
  ownCsv,
  ownFile,
  OWN_REQUIRED,
} from '#shared/tables/own-tables.ts';
export { withOwn };

/** Every row that cannot be taken, with its place and cure. */
export function ownProblems(own: OwnTables | null): readonly Problem[] {
  return ownModel(model, own).problems;
}

/** The tables with one more row, or every reason why the row is refused. */
export function rowAdded(
  own: OwnTables | null,
  table: OwnTable,
  row: OwnRow,
): { readonly next: OwnTables; readonly problems: readonly Problem[] } {
  const rows = [...(own?.[table] ?? []), row];
  const next = { ...own, [table]: rows };
  const at = ownPlace(table, rows.length);
  const isNew = ({ path }: Problem) => path === at || path.startsWith(`${at},`);
  const { problems } = ownModel(model, next);
  const before = new Set(ownProblems(own).map(({ path, message }) => path + message));
  const fresh = problems.filter((p) => isNew(p) || !before.has(p.path + p.message));
  return { next, problems: fresh };
}

const measured = measuredAnalytes({
  oilDensity: model.parameters['oil.density'].central,
  sh3InCys: model.parameters['precursor.cys_to_sh3'].central,
});

/** The words to offer for a cell; `null` where anything may stand. `row` holds the other cells of the row. */
export function offeredFor(
  own: OwnTables | null,
  table: OwnTable,
  column: string,
  row: OwnRow,
): { readonly closed: boolean; readonly words: readonly string[] } | null {
  const words = wordsOf(table, column);
  if (words) return { closed: true, words };
  const key = `${table}.${column}`;
  const open = (list: readonly string[]) => ({ closed: false, words: list });
  if (key === 'measurements.variety' || key === 'prices.hop') {
    return open(ownModel(model, own).model.hops.map(({ name }) => name));
  }
  if (key === 'parameters.id') return { closed: true, words: Object.keys(model.parameters) };
  if (key === 'measurements.analyte') return { closed: true, words: [...measured.keys()] };
  if (key === 'measurements.unit') {
    const units = measured.get(row['analyte'] ?? '')?.units ?? {};
    return { closed: true, words: Object.keys(units).filter((unit) => units[unit] !== null) };
  }
  if (column === 'source_id' || /sources$/.test(column)) {
    return open(ownRows(own ?? {}).rows.sources.map(({ id }) => id));
  }
  return null;
}

/** The published row of a parameter or a threshold, shown beside the fields as a help. */
export function publishedOf(table: OwnTable, row: OwnRow): string {
  const id = row['id'] ?? '';
  if (table === 'parameters' && Object.hasOwn(model.parameters, id)) {
    const { label, low, central, high, unit } = model.parameters[id as keyof Model['parameters']];
    return `${label}: published ${low} to ${high}, middle ${central}, ${unit}.`;
  }
  const compound = table === 'compounds' && Object.values(model.compounds).find((c) => c.id === id);
  const threshold = compound && compound.threshold;
  if (!threshold) return '';
  const { low, central, high } = threshold;
  return `${compound.name}: published ${low} to ${high}, middle ${central}, in µg/L.`;
}
