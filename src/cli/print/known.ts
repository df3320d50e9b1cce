// Which figures of an answer are known, known only from below, or not known at all, and why.
// The engine adds nothing for a figure nobody gave; here that is told apart from a true zero.
import {
  AXES,
  COMPOUNDS,
  analyteOf,
  isThiol,
  type AnalyteId,
  type CompoundId,
} from '#shared/ids.ts';
import {
  DOUBTFUL_TOTALS,
  type AxisAnswer,
  type Band,
  type CompoundAnswer,
  type DoubtfulTotalId,
  type TotalId,
  type Totals,
} from '#shared/answers/prediction.ts';
import { DRY_HOP_TOTALS, uncountedOf } from '#shared/answers/uncounted.ts';
import type { Lot } from '#engine/lot/composition.ts';
import { lotsOf } from '#engine/predict/predict.ts';
import type { Design } from '#engine/predict/design.ts';
import type { Model } from '#engine/tables/model.ts';

/** `at_least`: a used lot has no figure for it, so that the truth may lie above. */
export type Knowledge = 'known' | 'at_least' | 'unknown';

type Nullable<T> = { readonly [K in keyof T]: T[K] | null };
export type TotalsShown = Nullable<Totals>;
export type TotalsBandShown = Readonly<Record<DoubtfulTotalId, Nullable<Band>>>;
export type CompoundShown = Nullable<CompoundAnswer> & { readonly knowledge: Knowledge };
export type AxisShown = Nullable<AxisAnswer> & { readonly knowledge: Knowledge };

/** The part of a prediction or blend that holds figures. */
export interface KnownFigures {
  readonly totals: Totals;
  readonly totals_band: Readonly<Record<DoubtfulTotalId, Band>>;
  readonly compounds: Readonly<Record<string, CompoundAnswer>>;
  readonly axes: Readonly<Record<string, AxisAnswer>>;
}

/** Figures with `null` where nothing is known, and the reason for each `null` by its path. */
export interface FiguresShown {
  readonly totals: TotalsShown;
  readonly totals_band: TotalsBandShown;
  readonly compounds: Readonly<Record<string, CompoundShown>>;
  readonly axes: Readonly<Record<string, AxisShown>>;
  readonly reasons: Readonly<Record<string, string>>;
}

const NO_COMPOUND: Nullable<CompoundAnswer> = {
  ug_per_l: null,
  low: null,
  high: null,
  oav: null,
  oav_low: null,
  oav_high: null,
};
const NO_BAND: Nullable<Band> = { low: null, high: null };
const NO_AXIS: Nullable<AxisAnswer> = { intensity: null, low: null, high: null, signal: null };

/** Compounds that fermentation makes from another one: without that figure more may come. */
const MADE_FROM: Readonly<Partial<Record<CompoundId, CompoundId>>> = {
  citronellol: 'geraniol',
  sha3: 'sh3',
};

function namesOf(lots: readonly Lot[]): string {
  return [...new Set(lots.map((lot) => lot.hop))].join(', ');
}

function knowledgeOf(value: number, lacking: number): Knowledge {
  if (lacking === 0) return 'known';
  return value === 0 ? 'unknown' : 'at_least';
}

/** Tells known figures from unknown ones. `design` is what the figures were predicted for. */
export function shownFigures(model: Model, design: Design, figures: KnownFigures): FiguresShown {
  const lots = lotsOf(design);
  const lacking = (...analytes: AnalyteId[]) =>
    lots.filter((lot) => analytes.some((a) => lot.figures[a] === undefined));
  const reasons: Record<string, string> = {};

  const compounds: Record<string, CompoundShown> = {};
  for (const id of COMPOUNDS) {
    const answer = figures.compounds[id]!;
    const analytes: AnalyteId[] = [analyteOf(id)];
    if (!isThiol(id)) analytes.push('total_oil_ml_per_100g');
    const without = lacking(...analytes);
    const parent = MADE_FROM[id];
    const lackingAll = without.length + (parent ? lacking(analyteOf(parent)).length : 0);
    const knowledge = knowledgeOf(answer.ug_per_l, lackingAll);
    if (knowledge === 'unknown') {
      reasons[`compounds.${id}`] = `no ${analytes.join(' or ')} is known of ${namesOf(without)}`;
      compounds[id] = { ...NO_COMPOUND, knowledge };
    } else {
      if (answer.oav === null) {
        reasons[`compounds.${id}.oav`] = 'no odour threshold in beer is known of this compound';
      }
      compounds[id] = { ...answer, knowledge };
    }
  }

  const axes: Record<string, AxisShown> = {};
  for (const id of AXES) {
    const answer = figures.axes[id]!;
    const drivers = model.weights.filter((w) => w.axis === id).map((w) => w.driver);
    const unsure = drivers.filter((d) => d !== 'leaf' && compounds[d]!.knowledge !== 'known');
    const knowledge = knowledgeOf(answer.signal, unsure.length);
    axes[id] = knowledge === 'unknown' ? { ...NO_AXIS, knowledge } : { ...answer, knowledge };
    if (knowledge === 'unknown') {
      reasons[`axes.${id}`] = `what drives it is not known: ${unsure.join(', ')}`;
    }
  }

  const unpriced = lots.filter((lot) => lot.pricePerKg === null);
  if (figures.totals.cost === null) {
    reasons['totals.cost'] = `no price_per_kg is given for ${namesOf(unpriced)}`;
  }
  const bitter = lacking('alpha_pct');
  const ibu =
    knowledgeOf(figures.totals.ibu, bitter.length) === 'unknown' ? null : figures.totals.ibu;
  if (bitter.length > 0) {
    const least = ibu === null ? '' : ', so that this is the least it can be';
    reasons['totals.ibu'] = `no alpha_pct is known of ${namesOf(bitter)}${least}`;
  }
  const taste = ibu === null ? null : figures.totals.bitter_taste_mg_per_l;
  const totals: Record<TotalId, number | null> = {
    ...figures.totals,
    ibu,
    bitter_taste_mg_per_l: taste,
  };
  const uncounted = uncountedOf(design.stages, design.additions);
  for (const id of uncounted ? DRY_HOP_TOTALS : []) {
    const { whole, words } = uncounted!;
    if (whole) totals[id] = null;
    reasons[`totals.${id}`] =
      `what hops in the ${words} do to it is not known${whole ? '' : ', this is of the dry hop alone'}`;
  }
  const bands = DOUBTFUL_TOTALS.map((id) => [
    id,
    totals[id] === null ? NO_BAND : figures.totals_band[id],
  ]);
  const totals_band = Object.fromEntries(bands) as TotalsBandShown;
  return { totals, totals_band, compounds, axes, reasons };
}
