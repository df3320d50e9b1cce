// What is in one lot of hops: the table row of its variety, overridden by the lot's own analysis.
// Figures stay intervals with status and sources; a figure nobody gave stays absent.
import {
  ANALYTES,
  COMPOUNDS,
  REQUIRED_ANALYTES,
  analyteOf,
  type AnalyteId,
  type FormId,
  type Status,
  type Tendency,
} from '#shared/ids.ts';
import { widen, type Interval } from '#shared/interval.ts';
import { estimatedCell } from '#shared/evidence/estimate.ts';
import type { KnownHops } from '#shared/lists/hop-names.ts';
import { nameKey } from '#shared/name-key.ts';
import { either, nearestNames } from '#shared/names.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Analysis, Storage } from '#shared/schemas/brief.ts';
import type { Cell, Hop } from '#shared/schemas/tables.ts';
import type { Grams } from '#shared/units.ts';
import { priceKey, type Model, type ParameterId } from '#engine/tables/model.ts';

/** A figure of a lot. `perProduct`: measured on the product itself, so no form factor applies. */
export interface LotFigure extends Interval {
  readonly status: Status;
  readonly sources: readonly string[];
  readonly perProduct: boolean;
}

/** One lot: a variety in a form, with everything known of its composition. */
export interface Lot {
  readonly hop: string;
  readonly form: FormId;
  readonly figures: Readonly<Partial<Record<AnalyteId, LotFigure>>>;
  /** What tasters report of the variety, by axis: signal per g/L of type 90. */
  readonly reported: Hop['reported'];
  /** Glutathionylated 3SH class, used where `g_sh3_mg_per_kg` is absent. */
  readonly tendency: Tendency;
  readonly pricePerKg: number | null;
  readonly gramsOnHand: Grams | null;
  /** Grams of one package where it is bought in whole ones. */
  readonly packageG: Grams | null;
  /** How it was kept; `null` where nobody said: then it counts as fresh. */
  readonly storage: Storage | null;
  /** Alpha acids the variety keeps in 6 months at room temperature, %; `null` where not known. */
  readonly keeping: Interval | null;
  /** Figures the prediction needs and nobody gave. */
  readonly unknown: readonly AnalyteId[];
}

/** How a lot is named in a brief, a schedule or a stock list. */
export interface LotSpec {
  readonly hop: string;
  readonly form: FormId;
  readonly analysis?: Analysis | undefined;
  readonly storage?: Storage | undefined;
  readonly price_per_kg?: number | undefined;
  readonly grams_on_hand?: Grams | undefined;
  readonly package_g?: Grams | undefined;
}

/** Figures without which a prediction tells less than the truth. */
const PREDICTED: readonly AnalyteId[] = [
  'alpha_pct',
  'total_oil_ml_per_100g',
  ...COMPOUNDS.map(analyteOf),
];

/** Figures a prediction reads: with one of them there is something to go by. */
const READ: ReadonlySet<string> = new Set([
  ...PREDICTED,
  'g_sh3_mg_per_kg',
  'cys_sh3_mg_per_kg',
] satisfies AnalyteId[]);

const hopsByKey = new WeakMap<Model, Map<string, Hop>>();

/** The variety of that name or id, ignoring case, accents and punctuation. */
export function findHop(model: Model, name: string): Hop | undefined {
  let index = hopsByKey.get(model);
  if (!index) {
    index = new Map();
    for (const hop of [...model.hops].reverse()) {
      index.set(nameKey(hop.id), hop).set(nameKey(hop.name), hop);
    }
    hopsByKey.set(model, index);
  }
  return index.get(nameKey(name));
}

const hopNames = new WeakMap<Model, readonly string[]>();

/** Varieties of the table that may be meant by a name it does not have; none where it has it. */
export function namesNear(model: Model, name: string): string[] {
  if (findHop(model, name)) return [];
  let names = hopNames.get(model);
  if (!names) hopNames.set(model, (names = model.hops.map((hop) => hop.name)));
  return nearestNames(name, names);
}

/** The hop table, as far as a list that comes in needs it. */
export function knownHops(model: Model): KnownHops {
  return {
    named: (name) => findHop(model, name)?.name,
    near: (name) => namesNear(model, name),
  };
}

/** The cure for a name nobody knows, with the varieties that may be meant. */
export function correctName(model: Model, name: string, otherwise: string): string {
  const near = namesNear(model, name);
  const meant = near.length > 0 ? `Write ${either(near)} if that is meant. ` : '';
  return `${meant}Correct the name, ${otherwise}`;
}

function spreadParameter(analyte: AnalyteId): ParameterId {
  if (analyte === 'total_oil_ml_per_100g') return 'spread.total_oil';
  if (analyte === 'alpha_pct' || analyte === 'beta_pct') return 'spread.alpha';
  return 'spread.component';
}

function tableFigure(model: Model, analyte: AnalyteId, cell: Cell): LotFigure {
  const given = cell.low < cell.central || cell.high > cell.central;
  const spread = model.parameters[spreadParameter(analyte)].central;
  const range = widen(cell, given ? spread * model.parameters['spread.given'].central : spread);
  const { low, central, high } = range;
  return { low, central, high, status: cell.status, sources: cell.sources, perProduct: false };
}

const FROM_ANALYSIS = ['analysis'] as const;

function analysisFigure(model: Model, value: number): LotFigure {
  const share = model.parameters['spread.analysis'].central;
  return {
    low: value * (1 - share),
    central: value,
    high: value * (1 + share),
    status: 'analysis',
    sources: FROM_ANALYSIS,
    perProduct: true,
  };
}

/**
 * Fills the gaps of a lot that no variety of the table stands behind, by the stated estimators, from
 * given figures only. A thiol is estimated always, an oil component only when the oil is known at all.
 */
function fillByEstimate(
  model: Model,
  form: FormId,
  figures: Partial<Record<AnalyteId, LotFigure>>,
): void {
  const known = asType90(figures, model.parameters[`form.${form}.concentration`].central);
  for (const estimator of model.estimators) {
    const { analyte } = estimator;
    const needsOil = analyte.endsWith('_pct_of_oil');
    if (figures[analyte] || (needsOil && !figures.total_oil_ml_per_100g)) continue;
    const cell = estimatedCell(estimator, known);
    if (cell) figures[analyte] = tableFigure(model, analyte, cell);
  }
}

/** Given figures as estimators take them: a product's own alpha and oil are richer than the hop's. */
function asType90(
  figures: Readonly<Partial<Record<AnalyteId, LotFigure>>>,
  concentration: number,
): Partial<Record<AnalyteId, Interval>> {
  const scaled = { ...figures } as Partial<Record<AnalyteId, Interval>>;
  for (const analyte of ['alpha_pct', 'total_oil_ml_per_100g'] as const) {
    const figure = figures[analyte];
    if (!figure?.perProduct) continue;
    scaled[analyte] = {
      low: figure.low / concentration,
      central: figure.central / concentration,
      high: figure.high / concentration,
    };
  }
  return scaled;
}

/** The price own tables have of a hop in a form. */
function priceIn({ prices }: Model, { hop, form }: LotSpec, row: Hop | undefined): number | null {
  return prices?.get(priceKey(row?.name ?? hop, form)) ?? null;
}

/**
 * Builds a lot. An unknown variety is accepted when its analysis gives a figure that a prediction reads:
 * alpha, total oil (and with it components), a thiol, free or bound. What else it needs is estimated where it can be.
 * @returns a failure with path `hop` or `analysis` when there is nothing to go by.
 */
export function lotOf(model: Model, spec: LotSpec): Outcome<Lot> {
  const row = findHop(model, spec.hop);
  const analysis: Analysis = spec.analysis ?? {};
  const figures: Partial<Record<AnalyteId, LotFigure>> = {};
  for (const analyte of ANALYTES) {
    const own = analysis[analyte];
    const cell = row?.cells[analyte];
    if (own !== undefined) figures[analyte] = analysisFigure(model, own);
    else if (cell !== undefined) figures[analyte] = tableFigure(model, analyte, cell);
  }
  if (!row && !Object.keys(figures).some((a) => READ.has(a))) {
    return failure({
      path: 'hop',
      message: `the hop table has no variety called "${spec.hop}" and no analysis is given to predict from`,
      cure: correctName(
        model,
        spec.hop,
        'or give its analysis: at least total_oil_ml_per_100g with the components in % of oil, and alpha_pct',
      ),
    });
  }
  const oil = figures.total_oil_ml_per_100g;
  if (!row && !oil && Object.keys(figures).some((a) => a.endsWith('_pct_of_oil'))) {
    return failure({
      path: 'analysis',
      message: `components of "${spec.hop}" are given in % of oil, but not how much oil it has`,
      cure: 'Give total_oil_ml_per_100g',
    });
  }
  if (!row) fillByEstimate(model, spec.form, figures);
  return success({
    hop: row?.name ?? spec.hop,
    form: spec.form,
    figures,
    reported: row?.reported ?? {},
    tendency: analysis.precursor ?? row?.precursor.tendency ?? 'unknown',
    pricePerKg: spec.price_per_kg ?? priceIn(model, spec, row),
    gramsOnHand: spec.grams_on_hand ?? null,
    packageG: spec.package_g ?? null,
    storage: spec.storage ?? null,
    keeping: row?.keeping ?? null,
    unknown: PREDICTED.filter((a) => figures[a] === undefined),
  });
}

/**
 * The figures without which the optimizer must not weigh this lot against others: nobody gave them.
 * An estimate does for a prediction, but is no ground to prefer one hop to another.
 */
export function missingForDesign(lot: Lot): AnalyteId[] {
  return REQUIRED_ANALYTES.filter((a) => (lot.figures[a]?.status ?? 'estimated') === 'estimated');
}
