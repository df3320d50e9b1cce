// The whole data build as a pure function: texts of the hand-kept tables in, texts of the generated
// ones out, or everything that is wrong with them.
import { REQUIRED_ANALYTES, type AnalyteId } from '#shared/ids.ts';
import { axisWeights } from '#shared/evidence/axis-weights.ts';
import type { Estimator } from '#shared/evidence/estimate.ts';
import type { EstimateError } from '#shared/evidence/estimate-error.ts';
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import { z } from '#shared/zod.ts';
import {
  compoundSchema,
  descriptorSchema,
  hopSchema,
  parameterSchema,
  sourceSchema,
  thresholdSchema,
  type Compound,
  type Hop,
} from '#shared/schemas/tables.ts';
import {
  checkCompounds,
  checkEstimates,
  checkHops,
  checkMeasurements,
  checkParameterClasses,
  checkSensory,
  checkSources,
  checkTiers,
  checkUnique,
  checkVarieties,
} from './check.ts';
import { curate, curateKeeping } from './curate.ts';
import { fill, workOut } from './estimate.ts';
import { seldomRead, shrunk, widened } from './lone-readings.ts';
import { readTable, type Located } from '#shared/tables/read.ts';
import {
  compoundRow,
  descriptorRow,
  estimateRow,
  measurementRow,
  parameterRow,
  sensoryRow,
  sourceRow,
  toCompound,
  toDescriptor,
  toParameter,
  toSource,
  toThreshold,
  thresholdRow,
  varietyRow,
  wordRow,
  type Tier,
  type VarietyRow,
} from '#shared/tables/rows.ts';
import { dataPackage, citedCsv, cslSources } from './publish.ts';
import { reportedOf } from './reported.ts';
import { thiolClass } from '#shared/tables/thiol-class.ts';
import { hopsCsv, jsonArray, jsonObject } from './write.ts';

/** The sentences of the validator itself; pages have sentences of their own and do not load these. */
const IN_ENGLISH = { error: z.locales.en().localeError };

export const INPUTS = [
  'sources.csv',
  'measurements.csv',
  'varieties.csv',
  'estimates.csv',
  'compounds.csv',
  'descriptors.csv',
  'parameters.csv',
  'thresholds.csv',
  'sensory.csv',
  'words.csv',
] as const;
export type InputFile = (typeof INPUTS)[number];

export const OUTPUTS = [
  'hops.csv',
  'cited.csv',
  'datapackage.json',
  'sources.csl.json',
  'generated/hops.json',
  'generated/estimators.json',
  'generated/estimate-errors.json',
  'generated/compounds.json',
  'generated/compound-names.json',
  'generated/descriptors.json',
  'generated/parameters.json',
  'generated/sources.json',
] as const;
export type OutputFile = (typeof OUTPUTS)[number];

export interface Generated {
  readonly files: Readonly<Record<OutputFile, string>>;
  readonly hops: readonly Hop[];
  readonly estimators: readonly Estimator[];
  readonly errors: readonly EstimateError[];
}

/**
 * Builds every generated file of data/ from the hand-kept ones. Paths of problems name the file,
 * the line and the column, or the variety where no single row is at fault.
 */
export function generate(inputs: Readonly<Record<InputFile, string>>): Outcome<Generated> {
  const problems: Problem[] = [];
  const read = <S extends z.ZodMiniObject>(file: InputFile, schema: S): Located<z.output<S>>[] => {
    const table = readTable(inputs[file], schema);
    if (table.ok) return table.value;
    problems.push(...table.problems.map((p) => ({ ...p, path: `data/${file}, ${p.path}` })));
    return [];
  };
  const sources = read('sources.csv', sourceRow);
  const measurements = read('measurements.csv', measurementRow);
  const varieties = read('varieties.csv', varietyRow);
  const estimates = read('estimates.csv', estimateRow);
  const compoundRows = read('compounds.csv', compoundRow);
  const descriptors = read('descriptors.csv', descriptorRow);
  const parameters = read('parameters.csv', parameterRow);
  const thresholds = read('thresholds.csv', thresholdRow);
  const sensory = read('sensory.csv', sensoryRow);
  const words = read('words.csv', wordRow);
  if (problems.length > 0) return failure(...problems);

  const fits = <S extends z.ZodMiniType>(path: string, schema: S, row: unknown): z.output<S>[] => {
    const parsed = schema.safeParse(row, IN_ENGLISH);
    if (parsed.success) return [parsed.data];
    for (const issue of parsed.error.issues) {
      const field = issue.path.join('.');
      const message = `${field === '' ? 'the row' : field} is not allowed`;
      problems.push({ path, message, cure: issue.message });
    }
    return [];
  };
  const schoolsOf = new Map<string, Compound['schools']>();
  for (const row of thresholds) {
    const path = `data/thresholds.csv, line ${row.line}`;
    const [threshold] = fits(path, thresholdSchema, toThreshold(row));
    if (!threshold) continue;
    schoolsOf.set(row.compound, { ...schoolsOf.get(row.compound), [row.school]: threshold });
  }
  const compounds = compoundRows.flatMap((row) =>
    fits(
      `data/compounds.csv, line ${row.line}`,
      compoundSchema,
      toCompound(row, schoolsOf.get(row.id) ?? {}),
    ),
  );
  const parameterList = parameters.flatMap((row) =>
    fits(`data/parameters.csv, line ${row.line}`, parameterSchema, toParameter(row)),
  );
  const descriptorList = descriptors.flatMap((row) =>
    fits(`data/descriptors.csv, line ${row.line}`, descriptorSchema, toDescriptor(row)),
  );
  const sourceList = sources.flatMap((row) =>
    fits(`data/sources.csv, line ${row.line}`, sourceSchema, toSource(row)),
  );

  const known = new Set(sources.map(({ id }) => id));
  const tiers = new Map(
    sources.flatMap(({ id, tier }): [string, Tier][] => (tier === '' ? [] : [[id, tier]])),
  );
  const central = (id: string) => parameters.find((row) => row.id === id)?.default;
  const oilDensity = central('oil.density');
  const sh3InCys = central('precursor.cys_to_sh3');
  if (oilDensity === undefined || sh3InCys === undefined) {
    const message = 'oil.density or precursor.cys_to_sh3 is missing';
    return failure({ path: 'data/parameters.csv', message, cure: 'Add the row' }, ...problems);
  }
  const constants = { oilDensity, sh3InCys };
  problems.push(
    ...checkUnique('sources.csv', 'id', sources, (row) => row.id),
    ...checkUnique('varieties.csv', 'id', varieties, (row) => row.id),
    ...checkUnique('varieties.csv', 'name', varieties, (row) => row.name),
    ...checkUnique('estimates.csv', 'id', estimates, (row) => row.id),
    ...checkUnique('parameters.csv', 'id', parameters, (row) => row.id),
    ...checkUnique('thresholds.csv', 'school', thresholds, (t) => `${t.compound} ${t.school}`),
    ...checkUnique('estimates.csv', 'applies_to', estimates, (e) => `${e.analyte} ${e.applies_to}`),
    ...checkUnique('descriptors.csv', 'descriptor', descriptors, (row) =>
      [row.driver, row.descriptor, row.axis].join(' '),
    ),
    ...checkSources('measurements.csv', 'source_id', measurements, (r) => [r.source_id], known),
    ...checkSources('varieties.csv', 'origin_sources', varieties, (r) => r.origin_sources, known),
    ...checkSources(
      'varieties.csv',
      'precursor_sources',
      varieties,
      (r) => r.precursor_sources,
      known,
    ),
    ...checkSources('varieties.csv', 'forms_sources', varieties, (r) => r.forms_sources, known),
    ...checkSources('estimates.csv', 'sources', estimates, (r) => r.sources, known),
    ...checkSources(
      'compounds.csv',
      'threshold_sources',
      compoundRows,
      (r) => r.threshold_sources,
      known,
    ),
    ...checkSources('descriptors.csv', 'sources', descriptors, (r) => r.sources, known),
    ...checkSources('parameters.csv', 'sources', parameters, (r) => r.sources, known),
    ...checkSources('thresholds.csv', 'sources', thresholds, (r) => r.sources, known),
    ...checkUnique('words.csv', 'word', words, (row) => row.word),
    ...checkUnique('sensory.csv', 'word', sensory, (r) =>
      [r.variety, r.source_id, r.word].join(' '),
    ),
    ...checkSources('sensory.csv', 'source_id', sensory, (r) => [r.source_id], known),
    ...checkSensory(sensory, words, varieties, tiers),
    ...checkTiers(measurements, known, tiers),
    ...checkMeasurements(measurements, varieties, tiers, constants),
    ...checkVarieties(varieties),
    ...checkEstimates(estimates, varieties),
    ...checkCompounds(compounds),
    ...checkParameterClasses(parameters, compounds),
  );
  if (problems.length > 0) return failure(...problems);

  const curated = curate(measurements, tiers, constants);
  const keeping = curateKeeping(measurements, tiers);
  const estimators: Estimator[] = [];
  const errors: EstimateError[] = [];
  for (const row of estimates) {
    const worked = workOut(row, measurements, curated);
    if (worked !== undefined) {
      estimators.push(...worked.estimators);
      const isListed = errors.some(({ analyte }) => analyte === worked.error.analyte);
      if (!isListed) errors.push(worked.error);
      continue;
    }
    problems.push({
      path: `data/estimates.csv, line ${row.line}, column method`,
      message: `${row.id} finds no figure to work with`,
      cure: 'Add measurements, or state the estimate',
    });
  }
  const seldom = seldomRead(curated);
  const filled = varieties.map((variety) => {
    const own = curated.get(variety.name) ?? {};
    const moved = widened(
      shrunk(own, variety, estimators, seldom),
      variety,
      measurements,
      oilDensity,
    );
    return { ...variety, own, cells: fill(moved, variety, estimators) };
  });
  const reported = reportedOf(sensory, words, filled, {
    weights: axisWeights(descriptorList),
    compounds,
    values: Object.fromEntries(parameterList.map((row) => [row.id, row.central])),
  });
  const hops = filled.flatMap((variety) => {
    const { name, cells, own } = variety;
    const hop = toHop(variety, cells, own, keeping.get(name) ?? null, reported.get(name) ?? {});
    return fits(`data/varieties.csv, line ${variety.line}`, hopSchema, hop).map(() => hop);
  });
  problems.push(...checkHops(hops, tiers));
  if (problems.length > 0) return failure(...problems);

  return success({
    hops,
    estimators,
    errors,
    files: {
      'hops.csv': hopsCsv(hops),
      'cited.csv': citedCsv({
        'compounds.csv': compoundRows,
        'descriptors.csv': descriptors,
        'estimates.csv': estimates,
        'parameters.csv': parameters,
        'thresholds.csv': thresholds,
        'varieties.csv': varieties,
      }),
      'datapackage.json': dataPackage(hopsCsv([]).trim().split(',')),
      'sources.csl.json': cslSources(sources),
      'generated/hops.json': jsonArray(hops),
      'generated/estimators.json': jsonArray(estimators),
      'generated/estimate-errors.json': jsonArray(errors),
      'generated/compounds.json': jsonArray(compounds),
      'generated/compound-names.json': jsonArray(compounds.map(namesOf)),
      'generated/descriptors.json': jsonArray(descriptorList),
      'generated/parameters.json': jsonObject(parameterList),
      'generated/sources.json': jsonObject(sourceList),
    },
  });
}

/** What the first view needs of a compound: its name, and whose thresholds there are. */
function namesOf({ id, name, threshold, schools }: Compound) {
  return { id, name, threshold: threshold !== null, schools: Object.keys(schools) };
}

/** Whether somebody gave the figure: an estimate does not count. */
function given(cell: Hop['cells'][AnalyteId]): boolean {
  return cell !== undefined && cell.status !== 'estimated';
}

/** @param own the given cells, before lone readings were drawn towards their class. */
function toHop(
  variety: VarietyRow,
  cells: Hop['cells'],
  own: Hop['cells'],
  keeping: Hop['keeping'],
  reported: Hop['reported'],
): Hop {
  return {
    id: variety.id,
    name: variety.name,
    origin: variety.origin === '' ? null : variety.origin,
    originStatus: variety.origin_status === '' ? null : variety.origin_status,
    cells,
    precursor: {
      tendency: variety.precursor,
      status: variety.precursor_status,
      sources: variety.precursor_sources,
      note: variety.precursor_note,
    },
    thiolClass: thiolClass(own, variety.precursor),
    keeping,
    reported,
    forms: variety.forms,
    missing: REQUIRED_ANALYTES.filter((analyte) => !given(cells[analyte])),
  };
}
