// Draws of what is in a lot of hops. Figures of the table vary from lot to lot: split log-normal, low and high
// as the 5 and 95 % points, correlated within the lot through its total oil. Figures of a lot's own analysis
// have independent errors.
import { ANALYTES, AXES, COMPOUNDS, analyteOf, isThiol, type AnalyteId } from '#shared/ids.ts';
import type { Interval } from '#shared/interval.ts';
import { nameKey } from '#shared/name-key.ts';
import { findHop, type Lot } from '#engine/lot/composition.ts';
import type { Model } from '#engine/tables/model.ts';
import { CYS_SHARE, reportedName, SH3_BY_CLASS } from '#engine/lot/figures.ts';
import { reportedKey } from './learned.ts';
import { learnedOf, normalScores, parameterDraws, type Sampling } from './sampling.ts';

/** Standard normal score of the 95 % point. */
const Z95 = 1.6448536269514722;

/** Figures that no equation reads: they are not drawn. */
const UNUSED: ReadonlySet<AnalyteId> = new Set(['beta_pct', 'cohumulone_pct_of_alpha']);
const THIOL_FIGURES: ReadonlySet<AnalyteId> = new Set(COMPOUNDS.filter(isThiol).map(analyteOf));

/**
 * Converts normal scores to values of a composition figure: 0 gives the central value, and no value is
 * negative. Split log-normal; linear towards an end of zero.
 */
export function figureValues(figure: Interval, scores: Float64Array): Float64Array {
  return scores.map(figureByScore(figure));
}

/** The same for one score. */
export function figureByScore({ low, central, high }: Interval): (score: number) => number {
  const downLog = central > 0 && low > 0;
  const upLog = central > 0 && high > 0;
  const down = -(downLog ? Math.log(low / central) : low - central) / Z95;
  const up = (upLog ? Math.log(high / central) : high - central) / Z95;
  return (score) => {
    const moved = score * (score < 0 ? down : up);
    const log = score < 0 ? downLog : upLog;
    return log ? central * Math.exp(moved) : Math.max(0, central + moved);
  };
}

/** Correlation of a table figure with the total oil of its lot, as normal scores, -1 to 1. */
export function correlationWithOil({ parameters }: Model, analyte: AnalyteId): number {
  if (analyte === 'total_oil_ml_per_100g') return 1;
  if (analyte === 'alpha_pct') return parameters['lot.oil_alpha'].central;
  if (analyte === 'myrcene_pct_of_oil') return parameters['lot.oil_myrcene'].central;
  if (analyte.endsWith('_pct_of_oil')) return parameters['lot.oil_share'].central;
  return THIOL_FIGURES.has(analyte) ? parameters['lot.oil_thiol'].central : 0;
}

/** A lot in every draw: an array for each of its figures, by the name under which a world looks it up. */
export type LotDraws = ReadonlyMap<string, Float64Array>;

/**
 * The names under which lots are drawn: variety, form, and a count where a variety has several lots of one
 * form, in the order given. Two lots of one variety have different names; one lot at two stages has one.
 */
export function lotNames(lots: Iterable<Lot>): Map<Lot, string> {
  const counts = new Map<string, number>();
  const names = new Map<Lot, string>();
  for (const lot of lots) {
    if (names.has(lot)) continue;
    const kind = `${nameKey(lot.hop)} ${lot.form}`;
    const count = counts.get(kind) ?? 0;
    counts.set(kind, count + 1);
    names.set(lot, `${kind} ${count}`);
  }
  return names;
}

/** Draws made recently for a lot under a model, by its name and the sampling. */
const drawn = new WeakMap<Model, WeakMap<Lot, Map<string, LotDraws>>>();

/**
 * Draws a lot. Bound 3SH that nobody measured is drawn for this lot from its class, and so is the share of it
 * that is cysteinylated.
 */
export function drawLot(model: Model, lot: Lot, name: string, sampling: Sampling): LotDraws {
  const ofModel = drawn.get(model) ?? new WeakMap<Lot, Map<string, LotDraws>>();
  drawn.set(model, ofModel);
  const known = ofModel.get(lot) ?? new Map<string, LotDraws>();
  ofModel.set(lot, known);
  const key = `${name} ${sampling.samples} ${sampling.seed}`;
  const draws = known.get(key) ?? newDraws(model, lot, name, sampling);
  known.set(key, draws);
  return draws;
}

function newDraws(model: Model, lot: Lot, name: string, sampling: Sampling): LotDraws {
  const { samples } = sampling;
  const draws = new Map<string, Float64Array>();
  const oil = normalScores(`lot ${name} oil`, sampling);
  for (const analyte of ANALYTES) {
    const figure = UNUSED.has(analyte) ? undefined : lot.figures[analyte];
    if (!figure) continue;
    const own = figure.status === 'analysis';
    const shared = own ? 0 : correlationWithOil(model, analyte);
    const alone = Math.sqrt(1 - shared * shared);
    const scores = alone > 0 ? normalScores(`lot ${name} ${analyte}`, sampling) : oil.slice();
    if (alone > 0 && shared !== 0) {
      for (let k = 0; k < samples; k += 1) scores[k] = shared * oil[k]! + alone * scores[k]!;
    }
    draws.set(analyte, figureValues(figure, scores));
  }
  const { parameters } = model;
  if (!lot.figures.g_sh3_mg_per_kg) {
    const range = parameters[`precursor.g_sh3.${lot.tendency}`];
    draws.set(SH3_BY_CLASS, parameterDraws(`lot ${name} g_sh3`, range, sampling));
  }
  if (!lot.figures.cys_sh3_mg_per_kg) {
    const range = parameters['precursor.cys_share'];
    draws.set(CYS_SHARE, parameterDraws(`lot ${name} cys`, range, sampling));
  }
  // What tasters report belongs to the variety: it is the same for all of its lots.
  const hop = findHop(model, lot.hop);
  for (const axis of AXES) {
    const range = lot.reported[axis];
    if (!range) continue;
    const of = `reported ${nameKey(lot.hop)} ${axis}`;
    const learned = hop && learnedOf(model, sampling).get(reportedKey(hop.id, axis));
    draws.set(reportedName(axis), learned ?? parameterDraws(of, range, sampling));
  }
  return draws;
}
