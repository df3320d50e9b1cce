// What an id of provenance stands for: the row or equation behind a figure, with value, range, status and
// sources. This file alone joins the grammar of ids with the tables.
import experiments from '#data/generated/experiments.json' with { type: 'json' };
import sourceRows from '#data/generated/sources.json' with { type: 'json' };
import estimatorRows from '#data/generated/estimators.json' with { type: 'json' };
import type { Estimator } from '#shared/evidence/estimate.ts';
import { ANALYTES, AXES, OWN_SCHOOLS, type Status } from '#shared/ids.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import { provenanceId, PROVENANCE_KINDS } from '#shared/evidence/provenance.ts';
import type { Source } from '#shared/schemas/tables.ts';
import { findHop } from '#engine/lot/composition.ts';
import { subjectName } from './derivation.ts';
import { equationOf, parametersOf } from './equations.ts';
import { cellLeaf, classLeaf, keepingLeaf, reportedLeaf } from '#engine/lot/figures.ts';
import { isEquationId } from '#engine/symbols/equation-ids.ts';
import { weightOf } from '#engine/symbols/rows.ts';
import { analyteName, analyteUnit } from '#engine/tables/names.ts';
import { model, type Model, type ParameterId } from '#engine/tables/model.ts';
import type { Leaf } from '#engine/symbols/term.ts';

/** A figure of a table with its range, in `unit`. */
export interface FigureFound {
  readonly id: string;
  readonly name: string;
  readonly low: number;
  readonly default: number;
  readonly high: number;
  readonly unit: string;
  readonly status: Status;
  readonly sources: readonly string[];
  readonly note: string;
}

export interface EquationFound {
  readonly id: string;
  readonly name: string;
  readonly formula: string;
  readonly parameters: readonly string[];
  readonly builds_on: readonly string[];
  readonly reads: readonly string[];
  readonly sources: readonly string[];
}

/** Something that a document gave or a search states about itself: it has no row in a table. */
export interface WordsFound {
  readonly id: string;
  readonly name: string;
}

export interface SourceFound extends WordsFound {
  readonly authors: string;
  readonly year: string;
  readonly where: string;
  readonly locator: string;
  readonly read: string;
}

export type ProvenanceFound = FigureFound | EquationFound | SourceFound | WordsFound;

const sources = sourceRows as Readonly<Record<string, Source>>;

/** What the search states about itself, by the end of the id. */
const SEARCH = {
  dose: 'Dose the search chose',
  milliseconds: 'Time the search took, ms',
  lower_bound: 'Proven lower bound of the objective',
  gap: 'Objective minus lower bound, as a fraction of the objective',
  objective: 'Grams or money of all batches of a season together',
  lacking: 'Least grams that a season takes beyond the stock',
  worst_miss: 'Largest miss of a wish, in intensity, 5 IBU of bitterness counted as 1',
  distance: 'Largest distance from an aim itself, in intensity',
  miss: 'What was reached of a wish or limit, and how far it is off, in the unit of the wish',
  figures_by_status: 'Count of the hop figures used, by status',
  price: 'What a wish or limit costs at its present value, in the unit of the objective',
  why_not: 'What a hop would cost or need to be in the blend',
  clash: 'Where wishes that clash would hold',
  chance: 'Share of drawn lots in which a blend meets every wish',
  hold: 'Share of lots in which a blend holds, and what that takes',
  left_out: 'What the search says of candidates and blends it leaves out',
  tried: 'Least largest change with a hop as the only replacement, in intensity',
  slack: 'How far every wish was widened, in intensity',
  reach: 'How far an aroma can go within the limits, doses free, found by the search',
  share: 'Part of a signal that an addition brings',
} as const;
export type SearchId = keyof typeof SEARCH;

/** Figures counted from tables and lists, by the end of the id. */
const COUNTS = {
  hops: 'Count of varieties of the hop table',
  lots: 'Count of lots, and their sum',
  rows: 'Count of rows shown',
  designs: 'Count of designs',
  wishes: 'Count of wishes of the brief',
  left_out: 'Count of candidates left out',
  statuses: 'Share of figures by how they came about',
  experiments: 'Count of published experiments that the predictions hold against',
  likeness: 'Distance of log-ratios of seven parts of the oil, from the cells of both hops',
  places: 'Place on the map of oils, from the cells of every variety',
} as const;
export type CountId = keyof typeof COUNTS;

const wordsIn = (words: Readonly<Record<string, string>>, id: string) =>
  Object.hasOwn(words, id) ? words[id] : undefined;

/** Words for paths whose last part says too little. */
const INPUTS: Readonly<Record<string, string>> = {
  beer_l: 'the volume of beer',
  malt_g_per_l: 'the malt',
  co2_vol: 'the planned carbon dioxide',
  shelf_temp_c: 'how warm the beer is kept',
  leftover_value_pct: 'the value of what is left of packages',
  temp_c: 'the temperature',
  package_g: 'the package',
  price_per_kg: 'the price',
  dry_hop: 'the dry hop',
  hot_steep: 'the hot steep',
  target: 'the wish',
};

/** A path of an input in words: `target.citrus` is "the wish, citrus". */
function inputName(path: string): string {
  const parts = path.split(/[./]/).filter((part) => part !== 'batch' && part !== 'stages');
  return parts.map((part) => INPUTS[part] ?? part.replaceAll('_', ' ')).join(', ') || path;
}

interface CitedRow {
  readonly low: number;
  readonly central: number;
  readonly high: number;
  readonly status: Status;
  readonly sources: readonly string[];
  readonly note?: string;
}

function figure(id: string, name: string, unit: string, row: CitedRow): FigureFound {
  const { low, central, high, status, sources: of, note = '' } = row;
  return { id, name, low, default: central, high, unit, status, sources: of, note };
}

function foundOf({ id, name, unit, low, value, high, status, sources: of }: Leaf): FigureFound {
  const row = { low, central: value, high, status: status!, sources: of };
  return figure(id!, name, unit, row);
}

function findCell(of: Model, rest: string): FigureFound | undefined {
  const [name = '', end, noted] = rest.split('/');
  const hop = findHop(of, name);
  if (!hop) return undefined;
  if (end === 'precursor') return { ...foundOf(classLeaf(of, hop)), note: hop.precursor.note };
  if (end === 'reported') {
    const axis = AXES.find((a) => a === noted);
    const leaf = axis && reportedLeaf(hop, axis);
    return leaf && foundOf(leaf);
  }
  const analyte = ANALYTES.find((a) => a === end);
  const row = end === 'keeping' ? keepingLeaf(hop) : analyte && cellLeaf(hop, analyte);
  return row && foundOf(row);
}

function findRest(
  of: Model,
  kind: (typeof PROVENANCE_KINDS)[number],
  rest: string,
): ProvenanceFound | undefined {
  const id = `${kind}/${rest}`;
  switch (kind) {
    case 'parameter': {
      if (!Object.hasOwn(of.parameters, rest)) return undefined;
      const row = of.parameters[rest as ParameterId];
      return figure(id, row.label, row.unit, row);
    }
    case 'threshold': {
      const [name, school] = rest.split('/');
      const compound = Object.values(of.compounds).find((c) => c.id === name);
      const own = OWN_SCHOOLS.find((s) => s === school);
      const row = own ? compound?.schools[own] : school === undefined && compound?.threshold;
      if (compound && school === undefined && !row) {
        return { id, name: `No odour threshold of ${compound.name} in beer is known` };
      }
      if (!compound || !row) return undefined;
      return figure(id, `Odour threshold of ${compound.name} in ${row.matrix}`, 'ug/L', row);
    }
    case 'cell':
      return findCell(of, rest);
    case 'weight': {
      const [axis, driver] = rest.split('/');
      const row = of.weights.find((w) => w.axis === axis && w.driver === driver);
      return row && foundOf(weightOf(of, row));
    }
    case 'estimator': {
      const row = (estimatorRows as Estimator[]).find((e) => e.id === rest);
      const name =
        row && `Typical ${analyteName(row.analyte)}, before other figures of the hop adjust it`;
      return row && figure(id, name!, analyteUnit(row.analyte), { ...row, status: 'estimated' });
    }
    case 'equation': {
      const [equation = '', ...subject] = rest.split('/');
      if (!isEquationId(equation)) return undefined;
      const { gives, formulas, buildsOn, reads, sources: cited } = equationOf(equation);
      const name = subject.length === 0 ? gives : subjectName(equation, gives, subject);
      if (name === null) return undefined;
      return {
        id,
        name,
        formula: formulas.join('; '),
        parameters: parametersOf(equation).map((p) => `parameter/${p}`),
        builds_on: buildsOn.map((e) => `equation/${e}`),
        reads,
        sources: cited,
      };
    }
    case 'source': {
      const source = Object.hasOwn(sources, rest) ? sources[rest] : undefined;
      if (!source) return undefined;
      const { title, authors, year, where, locator, read } = source;
      return { id, name: title, authors, year, where, locator, read };
    }
    case 'own': {
      const parts = provenanceId(rest);
      const found = of.own?.includes(rest) && parts && findRest(of, parts.kind, parts.rest);
      return found ? { ...found, id, name: `Yours: ${found.name}` } : undefined;
    }
    case 'input':
      return { id, name: `You said so: ${inputName(rest)}` };
    case 'count': {
      const name = wordsIn(COUNTS, rest);
      return name === undefined ? undefined : { id, name };
    }
    case 'experiment': {
      const row = experiments.find((r) => r.id === rest);
      return row && { id, name: `${row.what}: published in ${row.source}, against the prediction` };
    }
    case 'search': {
      const name = wordsIn(SEARCH, rest);
      return name === undefined ? undefined : { id, name };
    }
  }
}

/**
 * What an id stands for. Fails where the kind of id or its row does not exist.
 * @param of the model of the answer, where it is not the published one.
 */
export function resolveProvenance(id: string, of: Model = model): Outcome<ProvenanceFound> {
  const parts = provenanceId(id);
  const found = parts && findRest(of, parts.kind, parts.rest);
  if (found) return success(found);
  const path = id;
  if (!parts) {
    const cure = `Write one of ${PROVENANCE_KINDS.map((k) => `${k}/...`).join(', ')}`;
    return failure({ path, message: 'this is no id of provenance', cure });
  }
  const cure = 'Take an id from the provenance of an answer, or from the page Evidence';
  return failure({ path, message: `there is no such ${parts.kind}`, cure });
}
