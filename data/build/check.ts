// What must hold across the tables: every cited source is listed, every name and unit is known,
// recalled figures come from recalled sources, every class in use has its parameters and no others,
// and no oil adds up to more than itself.
import { ANALYTES, COMPOUNDS, isThiol } from '#shared/ids.ts';
import type { Problem } from '#shared/outcome.ts';
import type { Compound, Hop } from '#shared/schemas/tables.ts';
import { oilExcess } from '#shared/tables/cells.ts';
import { isGroup } from './curate.ts';
import { COUNTRIES, ESTIMATED_ANALYTES } from './estimate.ts';
import type { Located } from '#shared/tables/read.ts';
import type {
  EstimateRow,
  MeasurementRow,
  SensoryRow,
  Tier,
  VarietyRow,
  WordRow,
} from '#shared/tables/rows.ts';
import { measuredAnalytes, type Constants } from '#shared/tables/units.ts';

export function at(file: string, row: { line: number }, column: string): string {
  return `data/${file}, line ${row.line}, column ${column}`;
}

/** Every source id in `cited` must stand in sources.csv. */
export function checkSources<R extends { line: number }>(
  file: string,
  column: string,
  rows: readonly R[],
  cited: (row: R) => readonly string[],
  known: ReadonlySet<string>,
): Problem[] {
  return rows.flatMap((row) =>
    cited(row)
      .filter((id) => !known.has(id))
      .map((id) => ({
        path: at(file, row, column),
        message: `source ${id} is not listed`,
        cure: `Add ${id} to data/sources.csv, or cite a source that stands there`,
      })),
  );
}

export function checkUnique<R extends { line: number }>(
  file: string,
  column: string,
  rows: readonly R[],
  value: (row: R) => string,
): Problem[] {
  const seen = new Set<string>();
  return rows.flatMap((row) => {
    const twice = seen.has(value(row));
    seen.add(value(row));
    const message = `${value(row)} stands here a second time`;
    return twice ? [{ path: at(file, row, column), message, cure: 'Keep one of the two' }] : [];
  });
}

export function checkMeasurements(
  rows: readonly Located<MeasurementRow>[],
  varieties: readonly VarietyRow[],
  tiers: ReadonlyMap<string, Tier>,
  constants: Constants,
): Problem[] {
  const file = 'measurements.csv';
  const names = new Set(varieties.map(({ name }) => name));
  const measured = measuredAnalytes(constants);
  const problems: Problem[] = [];
  for (const row of rows) {
    const complain = (column: string, message: string, cure: string) =>
      problems.push({ path: at(file, row, column), message, cure });
    if (!isGroup(row) && !names.has(row.variety)) {
      const cure = 'Add it to data/varieties.csv, or use the name written there';
      complain('variety', `variety ${row.variety} is not listed`, cure);
    }
    const analyte = measured.get(row.analyte);
    if (analyte === undefined) {
      const cure = 'Use a name of shared/tables/units.ts, or add the new one there';
      complain('analyte', `analyte ${row.analyte} is not known`, cure);
    } else if (!(row.unit in analyte.units)) {
      const cure = `Use one of ${Object.keys(analyte.units).join(', ')}, or add the unit to shared/tables/units.ts`;
      complain('unit', `unit ${row.unit} is not known for ${row.analyte}`, cure);
    }
    const tier = tiers.get(row.source_id);
    if (tier !== undefined && (tier === 'M') !== (row.status === 'memory')) {
      const message = `a figure with status ${row.status} comes from ${row.source_id}, a source of tier ${tier}`;
      complain('status', message, 'Recalled figures, and only those, cite a source of tier M');
    }
    if (row.value === undefined && row.min === undefined && row.max === undefined) {
      complain('value', 'the row holds no figure', 'Fill value, min or max');
    }
    if (row.min !== undefined && row.max !== undefined && row.min > row.max) {
      complain('min', `min ${row.min} is above max ${row.max}`, 'Swap or correct the two');
    }
    if ([row.value, row.min, row.max].some((figure) => figure !== undefined && figure < 0)) {
      complain('value', 'a figure is negative', 'Correct the sign');
    }
  }
  return problems;
}

/** A source of hop figures needs a tier, or its figures would be left out without a word. */
export function checkTiers(
  rows: readonly Located<MeasurementRow>[],
  known: ReadonlySet<string>,
  tiers: ReadonlyMap<string, Tier>,
): Problem[] {
  return rows
    .filter(({ source_id: id }) => known.has(id) && !tiers.has(id))
    .map((row) => ({
      path: at('measurements.csv', row, 'source_id'),
      message: `source ${row.source_id} has no tier`,
      cure: `Give ${row.source_id} a tier from A to D, or M, in data/sources.csv`,
    }));
}

/** Words of tasters: of a listed variety, with a row in words.csv, recalled ones as such. */
export function checkSensory(
  rows: readonly Located<SensoryRow>[],
  words: readonly WordRow[],
  varieties: readonly VarietyRow[],
  tiers: ReadonlyMap<string, Tier>,
): Problem[] {
  const known = new Set(words.map(({ word }) => word));
  const names = new Set(varieties.map(({ name }) => name));
  return rows.flatMap((row) => {
    const problems: Problem[] = [];
    const complain = (column: string, message: string, cure: string) =>
      problems.push({ path: at('sensory.csv', row, column), message, cure });
    if (!names.has(row.variety)) {
      const cure = 'Add it to data/varieties.csv, or use the name written there';
      complain('variety', `variety ${row.variety} is not listed`, cure);
    }
    if (!known.has(row.word)) {
      const cure = 'Add the word to data/words.csv with its axis, or with none';
      complain('word', `the word ${row.word} is not known`, cure);
    }
    const recalled = tiers.get(row.source_id) === 'M';
    if (recalled !== (row.kind === 'memory') || recalled !== (row.status === 'memory')) {
      const cure =
        'Recalled words, and only those, are of kind and status memory and cite a source of tier M';
      complain(
        'kind',
        `kind ${row.kind} and status ${row.status} do not fit ${row.source_id}`,
        cure,
      );
    }
    return problems;
  });
}

export function checkVarieties(rows: readonly Located<VarietyRow>[]): Problem[] {
  return rows
    .filter(({ origin }) => origin !== '' && !COUNTRIES.includes(origin.slice(0, 2)))
    .map((row) => ({
      path: at('varieties.csv', row, 'origin'),
      message: `country ${row.origin.slice(0, 2)} is not known`,
      cure: 'Begin with two letters of a country named in data/build/estimate.ts, or add it there',
    }));
}

export function checkEstimates(
  rows: readonly Located<EstimateRow>[],
  varieties: readonly VarietyRow[],
): Problem[] {
  const file = 'estimates.csv';
  const groups = ['all', 'europe', 'elsewhere', ...varieties.map(({ name }) => name)];
  const problems: Problem[] = [];
  for (const row of rows) {
    const complain = (column: string, message: string, cure: string) =>
      problems.push({ path: at(file, row, column), message, cure });
    const allowed: readonly string[] = ESTIMATED_ANALYTES;
    if (!allowed.includes(row.analyte)) {
      const cure = `Use one of ${allowed.join(', ')}`;
      complain('analyte', `${row.analyte} is not a figure that may be estimated`, cure);
    }
    for (const part of row.applies_to === 'all' ? [] : row.applies_to.split('+')) {
      const cure = 'Write all, europe, elsewhere, or names of data/varieties.csv joined by +';
      if (!groups.includes(part)) complain('applies_to', `${part} is not known`, cure);
    }
    const { low, central, high } = row;
    const given = [low, central, high].filter((figure) => figure !== undefined);
    const rising = given.every((figure, i) => figure >= (given[i - 1] ?? 0));
    if (row.method === 'stated') {
      if (given.length < 3 || !rising) {
        complain('central', '0 <= low <= central <= high does not hold', 'Correct the range');
      }
    } else if (given.length > 0) {
      const cure = 'Leave low, central and high empty, or state the estimate';
      complain('central', `${row.method} is worked out, yet a figure is given`, cure);
    }
    const times = row.method.startsWith('ratio:') ? row.method.slice('ratio:'.length) : undefined;
    if (
      times !== undefined &&
      (!(ANALYTES as readonly string[]).includes(times) || !row.share_of)
    ) {
      const cure = 'Write ratio:<column of the hop table> and fill share_of with a/b';
      complain('method', `${row.method} cannot be worked out`, cure);
    }
  }
  for (const analyte of ESTIMATED_ANALYTES) {
    const own = rows.filter((row) => row.analyte === analyte).map((row) => row.applies_to);
    if (own.includes('all') || (own.includes('europe') && own.includes('elsewhere'))) continue;
    problems.push({
      path: `data/${file}`,
      message: `${analyte} has no estimate that applies to every variety`,
      cure: 'Add a row that applies to all, or one each for europe and elsewhere',
    });
  }
  return problems;
}

/** Families of parameters that have one row for each class of a compound, and no other. */
const FAMILIES: readonly (readonly [string, (compound: Compound) => string | null])[] = [
  ['dry_hop.yield', (compound) => compound.transferClass],
  ['hot_steep.yield', (compound) => compound.transferClass],
  ['hot_steep.closed_yield', (compound) => compound.transferClass],
  ['dry_hop.half_load', (compound) => compound.loadGroup],
  ['boil.rate', (compound) => compound.boilClass],
  ['ferment.survival', (compound) => compound.fermentClass],
  ['storage.oil_class', (compound) => (isThiol(compound.id) ? null : compound.boilClass)],
  ['shelf.rate', (compound) => compound.boilClass],
  ['shelf.energy', (compound) => compound.boilClass],
];

export function checkParameterClasses(
  parameters: readonly { id: string; line: number }[],
  compounds: readonly Compound[],
): Problem[] {
  return FAMILIES.flatMap(([family, classOf]) => {
    const classes = compounds.map(classOf).filter((name) => name !== null);
    const used = new Set(classes.map((name) => `${family}.${name}`));
    const rows = parameters.filter(({ id }) => id.startsWith(`${family}.`));
    const unused = rows
      .filter(({ id }) => !used.has(id))
      .map((row) => ({
        path: at('parameters.csv', row, 'id'),
        message: `no compound is of the class of ${row.id}`,
        cure: 'Delete the row, or give a compound of data/compounds.csv this class',
      }));
    const missing = [...used]
      .filter((id) => !rows.some((row) => row.id === id))
      .map((id) => ({
        path: 'data/parameters.csv',
        message: `parameter ${id} is missing`,
        cure: 'Add it, or give the compounds of this class another one',
      }));
    return [...unused, ...missing];
  });
}

export function checkCompounds(rows: readonly { id: string }[]): Problem[] {
  const ids = rows.map(({ id }) => id);
  if (ids.length === COMPOUNDS.length && COMPOUNDS.every((id, i) => ids[i] === id)) return [];
  return [
    {
      path: 'data/compounds.csv',
      message: 'the compounds are not those of shared/ids.ts in their order',
      cure: `Order the rows as ${COMPOUNDS.join(', ')}`,
    },
  ];
}

export function checkHops(hops: readonly Hop[], tiers: ReadonlyMap<string, Tier>): Problem[] {
  return hops.flatMap((hop) => {
    const problems: Problem[] = [];
    const cure = `Look among the rows of ${hop.name} for a wrong unit or a figure counted twice, and exclude it with a reason`;
    for (const { bound, total } of oilExcess(hop.cells)) {
      const message = `the components of its oil add up to ${total.toFixed(1)} % at their ${bound} figures`;
      problems.push({ path: `data/measurements.csv, variety ${hop.name}`, message, cure });
    }
    for (const [analyte, cell] of Object.entries(hop.cells)) {
      if (!['seen', 'derived', 'printed'].includes(cell.status)) continue;
      const recalled = cell.sources.filter((id) => tiers.get(id) === 'M');
      if (recalled.length === 0) continue;
      const message = `recalled ${recalled.join(', ')} enters the ${cell.status} cell ${analyte}`;
      const path = `data/measurements.csv, variety ${hop.name}`;
      problems.push({ path, message, cure: 'Mend the ranks of data/build/curate.ts' });
    }
    return problems;
  });
}
