// Decides what one lot of hops holds: the table row of its variety, overridden by the lot's own analysis.
// Figures stay intervals with status and sources; a figure that nobody gave stays absent.
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
import type { Analysis, Storage } from '#shared/schemas/lot.ts';
import type { Cell, Hop } from '#shared/schemas/tables.ts';
import type { Grams } from '#shared/units.ts';
import { priceKey, type Model, type ParameterId } from '#engine/tables/model.ts';

/** A figure of a lot. `perProduct`: it was measured on the product itself, so no form factor applies. */
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
  /** What tasters report of the variety, by axis, as signal per g/L of type 90. */
  readonly reported: Hop['reported'];
  /** Class of the variety by its glutathionylated 3SH, used where `g_sh3_mg_per_kg` is absent. */
  readonly tendency: Tendency;
  readonly pricePerKg: number | null;
  readonly gramsOnHand: Grams | null;
  /** Grams in one package where the lot is sold in whole packages. */
  readonly packageG: Grams | null;
  /** How the lot was kept; `null` where nobody said, and the lot then counts as fresh. */
  readonly storage: Storage | null;
  /** Alpha acids that the variety keeps in 6 months at room temperature, %; `null` where not known. */
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

/** Figures that a prediction names as missing where a lot has none: without them it is incomplete. */
const PREDICTED: readonly AnalyteId[] = [
  'alpha_pct',
  'total_oil_ml_per_100g',
  ...COMPOUNDS.map(analyteOf),
];

/** Figures that a prediction reads: a lot of an unknown variety needs at least one of them. */
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

/** Varieties of the table that a name not found there may mean; empty where the name is found. */
export function namesNear(model: Model, name: string): string[] {
  if (findHop(model, name)) return [];
  let names = hopNames.get(model);
  if (!names) hopNames.set(model, (names = model.hops.map((hop) => hop.name)));
  return nearestNames(name, names);
}

/** What the readers of lists need of the hop table: names and ids of the varieties. */
export function knownHops(model: Model): KnownHops {
  return {
    named: (name) => findHop(model, name)?.name,
    near: (name) => namesNear(model, name),
  };
}

/** The advice for a hop name that is not in the table: the varieties it may mean, or `otherwise`. */
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
 * Fills the gaps of a lot whose variety is not in the table by the stated estimators, from given figures only.
 * A thiol is always estimated, an oil component only where the total oil is known.
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

/**
 * Given figures converted to type 90, which the estimators expect: a product's own alpha acids and oil are
 * richer than those of the hop.
 */
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

/** The price per kg that own tables state for a hop in a form; `null` where they state none. */
function priceIn({ prices }: Model, { hop, form }: LotSpec, row: Hop | undefined): number | null {
  return prices?.get(priceKey(row?.name ?? hop, form)) ?? null;
}

/**
 * Builds a lot. An unknown variety is accepted when its analysis gives a figure that a prediction reads: alpha
 * acids, total oil (and with it components), a thiol, free or bound. What else is needed is estimated where an
 * estimator exists.
 * @returns a failure with path `hop` or `analysis` when no figure is known at all.
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
 * Figures that nobody gave and without which the optimizer must not compare this lot with others. An estimate
 * is good enough for a prediction, but no reason to prefer one hop to another.
 */
export function missingForDesign(lot: Lot): AnalyteId[] {
  return REQUIRED_ANALYTES.filter((a) => (lot.figures[a]?.status ?? 'estimated') === 'estimated');
}
