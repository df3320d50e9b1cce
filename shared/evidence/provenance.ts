// Where every figure of an answer is from: the grammar of ids, and a table from patterns of paths to
// ids for each kind of answer. The engine finds what an id stands for.
import type { TotalId } from '#shared/answers/prediction.ts';

/**
 * What an id begins with; the rest says which one:
 *
 *   parameter/<id>  threshold/<compound>[/<school>]  weight/<axis>/<driver>  estimator/<id>  source/<id>
 *   cell/<hop>/<analyte | keeping | precursor | reported/axis>   a figure of the hop table
 *   equation/<id>[/<subject>]   an equation, and the figure it gives: equation/concentration/linalool
 *   own/<id>         a row of the person's own tables, in place of or beside the published row of that id
 *   input/<path>     what a person gave: a wish, a price, an analysis
 *   search/<what>    what the search reports of its own work: bounds, gaps, times, prices of wishes
 *   count/<what>     counted from what is shown
 *   experiment/<row> a published observation
 */
export const PROVENANCE_KINDS = [
  'parameter',
  'threshold',
  'cell',
  'equation',
  'source',
  'weight',
  'estimator',
  'own',
  'input',
  'search',
  'count',
  'experiment',
] as const;
export type ProvenanceKind = (typeof PROVENANCE_KINDS)[number];

export interface ProvenanceId {
  readonly kind: ProvenanceKind;
  readonly rest: string;
}

/** The parts of an id; `undefined` if it has no such form. */
export function provenanceId(id: string): ProvenanceId | undefined {
  const [, head, rest] = /^([a-z]+)\/(.+)$/.exec(id) ?? [];
  const kind = PROVENANCE_KINDS.find((k) => k === head);
  return kind && rest !== undefined ? { kind, rest } : undefined;
}

/**
 * Ids by pattern: parts of a path separated by points, `*` for any one part, as of a list, a last `**` for one or
 * more.
 */
export type Provenance = Readonly<Record<string, readonly string[]>>;

/** The equation behind each total. */
export const TOTAL_EQUATIONS: Readonly<Record<TotalId, string>> = {
  hop_g: 'hop_weight',
  hop_g_per_l: 'hop_weight',
  leaf_g_per_l: 'leaf',
  ibu: 'ibu',
  bitter_taste_mg_per_l: 'bitter_taste',
  polyphenols_mg_per_l: 'polyphenols',
  creep_co2_vol: 'creep_co2',
  creep_to_come_vol: 'creep_to_come',
  beer_lost_l: 'beer_lost',
  cost: 'cost',
  ph_rise: 'ph_rise',
};

const BAND = 'equation/band';
const totals = Object.entries(TOTAL_EQUATIONS).map(([id, equation]) => [
  id,
  `equation/${equation}`,
]);
const totalsAt = (path: string): Provenance =>
  Object.fromEntries(totals.map(([id, equation]) => [`${path}.${id}`, [equation!]]));

function under(prefix: string, of: Provenance): Provenance {
  return Object.fromEntries(Object.entries(of).map(([path, ids]) => [`${prefix}.${path}`, ids]));
}

/** What was given of an addition; `grams` is the searched or the given dose. */
const addition = (grams: string): Provenance => ({
  grams: [grams],
  price_per_kg: ['input/price_per_kg'],
  package_g: ['input/package_g'],
  'analysis.*': ['input/analysis'],
  'storage.*': ['input/storage'],
});

const FIGURES: Provenance = {
  ...totalsAt('totals'),
  ...Object.fromEntries(totals.map(([id, e]) => [`totals_band.${id}.*`, [BAND, e!]])),
  'compounds.*.ug_per_l': ['equation/concentration'],
  'compounds.*.low': [BAND, 'equation/concentration'],
  'compounds.*.high': [BAND, 'equation/concentration'],
  'compounds.*.oav': ['equation/odour_activity'],
  'compounds.*.oav_low': [BAND, 'equation/odour_activity'],
  'compounds.*.oav_high': [BAND, 'equation/odour_activity'],
  'axes.*.intensity': ['equation/intensity'],
  'axes.*.low': [BAND, 'equation/intensity'],
  'axes.*.high': [BAND, 'equation/intensity'],
  'axes.*.signal': ['equation/signal'],
  'warnings.*.figure': ['equation/warnings'],
  'warnings.*.limit': ['equation/warnings'],
  'creep.extract_p': ['equation/creep'],
  'creep.extra_co2_vol': ['equation/creep_to_come'],
  'creep.planned_co2_vol': ['input/batch.co2_vol'],
  'creep.co2_vol': ['input/batch.co2_vol', 'equation/creep_to_come'],
  'creep.planned_pressure_bar_at_20c': ['equation/carbonation', 'input/batch.co2_vol'],
  'creep.pressure_bar_at_20c': ['equation/carbonation', 'input/batch.co2_vol'],
  'creep.pressure_bar_at_20c_high': [BAND, 'equation/carbonation', 'input/batch.co2_vol'],
  'shelf.temp_c': ['input/batch.shelf_temp_c'],
  'shelf.points.*.months': ['equation/shelf'],
  'shelf.best_before.months': ['equation/shelf_axes'],
  'shelf.best_before.low': [BAND, 'equation/shelf_axes'],
  'shelf.best_before.high': [BAND, 'equation/shelf_axes'],
  'shelf.points.*.compounds.*': ['equation/shelf'],
  'shelf.points.*.axes.*.intensity': ['equation/shelf_axes'],
  'shelf.points.*.axes.*.low': [BAND, 'equation/shelf_axes'],
  'shelf.points.*.axes.*.high': [BAND, 'equation/shelf_axes'],
  'figures_by_status.*': ['search/figures_by_status'],
};

const PROOF: Provenance = { lower_bound: ['search/lower_bound'], gap: ['search/gap'] };
const MISSES: Provenance = {
  worst_miss: ['search/worst_miss'],
  distance: ['search/distance'],
  'misses.*.asked': ['input/wish'],
  'misses.*.asked.*': ['input/wish'],
  'misses.*.got': ['search/miss'],
  'misses.*.by': ['search/miss'],
};
const BLEND: Provenance = {
  ...FIGURES,
  ...MISSES,
  holds_in_lots: ['search/chance'],
  holds_in_all: ['search/chance', BAND],
  ...under('additions.*', addition('search/dose')),
  ...under('proof', PROOF),
};
const COMPARED: Provenance = {
  ...BLEND,
  'changes.*.*': ['equation/intensity'],
  ...totalsAt('totals_change'),
};
const ORIGINAL: Provenance = {
  milliseconds: ['search/milliseconds'],
  ...under('original.additions.*', addition('input/additions')),
  ...totalsAt('original.totals'),
  'original.axes.*': ['equation/intensity'],
};
const WHY: Provenance = {
  'contributions.*.addition.grams': ['search/dose'],
  'contributions.*.axes.*.*': ['equation/signal'],
  'prices.*.*': ['search/price'],
  'why_not.*.with_it.additions.*.grams': ['search/dose'],
  'why_not.*.with_it.*': ['search/why_not'],
  'why_not.*.reduced_cost_per_g': ['search/why_not'],
  'why_not.*.levers.*.factor': ['search/why_not'],
  'clash.members.*.*': ['search/clash'],
  'hold.*': ['search/hold'],
  'hold.fresh.*': ['search/hold'],
  'hold.eased.*': ['search/hold'],
};

/** Kinds of answers: the verbs of the command line, and the curve of a design. */
export type AnswerKind =
  | 'predict'
  | 'design'
  | 'swap'
  | 'save'
  | 'tradeoff'
  | 'sheet'
  | 'learn'
  | 'season';

/** Exactly one pattern for every number an answer may hold; cells of the blends in it are added. */
export const PROVENANCE: Readonly<Record<AnswerKind, Provenance>> = {
  predict: {
    ...FIGURES,
    'rests_on.*.*': ['equation/signal'],
    'doubt.*.*': ['equation/intensity', BAND],
    'doubt.*.*.*': ['equation/intensity', BAND],
    'doubt.*.*.*.*': ['equation/intensity', BAND],
  },
  design: {
    ...PROOF,
    milliseconds: ['search/milliseconds'],
    ...under('blends.*', BLEND),
    ...under('why', WHY),
  },
  swap: {
    ...PROOF,
    ...ORIGINAL,
    ...under('replaced.*', addition('input/additions')),
    ...under('blends.*', COMPARED),
    ...under('blends.*.added.*', addition('search/dose')),
    'blends.*.difference': ['equation/intensity'],
    'tried.*.*': ['search/tried'],
  },
  save: {
    ...ORIGINAL,
    jnd: ['parameter/aroma.jnd', 'equation/noticeable'],
    'ibu_between.*': ['input/limits', 'equation/ibu'],
    beer_price_per_l: ['input/beer_price_per_l'],
    'goal.share': ['input/save_at_least'],
    'goal.cost_at_most': ['input/save_at_least', 'equation/cost'],
    'goal.saved': ['equation/cost'],
    'goal.untried': ['search/tried'],
    'goal.loosenings.*.from': ['input/limits', 'equation/noticeable'],
    'goal.loosenings.*.to': ['search/tried'],
    'goal.loosenings.*.by': ['search/tried'],
    'goal.loosenings.*.cost': ['equation/cost'],
    ...under('blends.*', COMPARED),
  },
  sheet: {
    beer_l: ['input/batch.beer_l'],
    gravity_sg: ['input/batch'],
    hop_g: ['equation/hop_weight'],
    'steps.*.day': ['input/stages', 'equation/brew_days'],
    'steps.*.ends_day': ['input/stages', 'equation/brew_days'],
    'steps.*.timer_min': ['input/stages'],
    'steps.*.weigh.*.grams': ['search/dose'],
    // Of the stages and the batch, or balances on them.
    'steps.*.figures.*.*': [
      'input/stages',
      'equation/strike',
      'equation/mixing',
      'equation/dilution',
      'equation/kettle',
      'equation/brew_days',
      'equation/creep_to_come',
      'equation/carbonation',
    ],
    'expected.ibu': ['equation/ibu'],
    'expected.ibu_band.*': [BAND, 'equation/ibu'],
    'expected.beer_lost_l': ['equation/beer_lost'],
    'expected.made_up_l': ['equation/kettle'],
    'expected.packaged_l': ['equation/beer_lost'],
    'expected.creep_co2_vol': ['equation/creep_co2'],
    'expected.creep_to_come_vol': ['equation/creep_to_come'],
    'expected.best_before_months': ['equation/shelf_axes'],
    'expected.axes.*.intensity': ['equation/intensity'],
    'expected.axes.*.low': [BAND, 'equation/intensity'],
    'expected.axes.*.high': [BAND, 'equation/intensity'],
  },
  season: {
    ...PROOF,
    milliseconds: ['search/milliseconds'],
    objective: ['search/objective'],
    ...under('batches.*.additions.*', addition('search/dose')),
    'batches.*.hop_g': ['equation/hop_weight'],
    'batches.*.hop_g_per_l': ['equation/hop_weight'],
    'batches.*.ibu': ['equation/ibu'],
    'batches.*.axes.*.intensity': ['equation/intensity'],
    ...under('batches.*', MISSES),
    'batches.*.hold.*': ['search/hold'],
    'batches.*.hold.fresh.*': ['search/hold'],
    'batches.*.hold.eased.*': ['search/hold'],
    'lots.*.*': ['search/dose'],
    'buy.*.candidate': ['input/candidates'],
    'buy.*.grams': ['search/dose'],
    'buy.*.packages': ['search/dose', 'input/package_g'],
    'buy.*.cost': ['input/price_per_kg', 'search/dose'],
    'clash.*.*': ['search/clash'],
    'lacking.*.*': ['search/lacking'],
  },
  learn: {
    'learned.**': ['equation/learning'],
    'beers.*.notes.*.**': ['equation/learning', 'equation/intensity'],
    'moved.*.*.*': ['equation/learning'],
    'error.*': ['equation/learning'],
    'next.*.*': ['equation/learning'],
    'disagreements.*.*': ['equation/learning'],
    agreement: ['equation/learning'],
  },
  tradeoff: {
    milliseconds: ['search/milliseconds'],
    'points.*.hop_g': ['equation/hop_weight'],
    'points.*.cost': ['equation/cost'],
    'points.*.slack': ['search/slack'],
    'points.*.holds_in_lots_at_least': ['input/limits'],
    ...under('points.*.proof', PROOF),
    ...under('points.*.blend', BLEND),
  },
};

/** The paths of all numbers of a document, each as its parts. */
export function numberPaths(document: unknown, at: readonly string[] = []): string[][] {
  if (typeof document === 'number') return [[...at]];
  if (typeof document !== 'object' || document === null) return [];
  return Object.entries(document).flatMap(([key, part]) => numberPaths(part, [...at, key]));
}

function fits(pattern: readonly string[], path: readonly string[]): boolean {
  const open = pattern.at(-1) === '**';
  const fixed = open ? pattern.slice(0, -1) : pattern;
  if (open ? path.length <= fixed.length : path.length !== fixed.length) return false;
  return fixed.every((part, i) => part === '*' || part === path[i]);
}

/**
 * An answer with the part of its table that it needs: patterns that some number of it fits.
 * @param more what stands behind single figures beside that: ids add up where a path fits several patterns.
 */
export function withProvenance<Document extends object>(
  kind: AnswerKind,
  document: Document,
  more: Provenance = {},
): Document & { readonly provenance: Provenance } {
  const paths = numberPaths(document);
  const entries = [...Object.entries(PROVENANCE[kind]), ...Object.entries(more)].filter(
    ([pattern]) => {
      const parts = pattern.split('.');
      return paths.some((path) => fits(parts, path));
    },
  );
  return { ...document, provenance: Object.fromEntries(entries) };
}

/** The patterns of a table that a path fits. */
export function patternsOf(table: Provenance, path: readonly string[]): string[] {
  return Object.keys(table).filter((pattern) => fits(pattern.split('.'), path));
}
