// Fills the cells for which no figure was found, each by a stated estimator of estimates.csv.
// Never estimated: alpha acids and total oil, the figures the engine does without (beta, cohumulone)
// and bound thiols, for which the engine has its own classes.
import { median, max, min } from 'simple-statistics';
import { ANALYTES, REQUIRED_ANALYTES, type AnalyteId } from '#shared/ids.ts';
import type { Interval } from '#shared/interval.ts';
import { estimatedCell, type Estimator } from '#shared/evidence/estimate.ts';
import type { EstimateError } from '#shared/evidence/estimate-error.ts';
import type { Cell } from '#shared/schemas/tables.ts';
import { rounded, type Cells } from '#shared/tables/cells.ts';
import { witnesses, type Witness } from './estimate-evidence.ts';
import { regress } from './estimate-methods.ts';
import { choose, enough, leftOut, rangeFactors } from './leave-one-out.ts';
import type { EstimateRow, MeasurementRow, VarietyRow } from '#shared/tables/rows.ts';

/** Bred, and so mostly grown, in Europe. */
export const EUROPE = ['CZ', 'DE', 'FR', 'PL', 'SI', 'UA', 'UK'];
const ELSEWHERE = ['AU', 'JP', 'NZ', 'US'];
export const COUNTRIES: readonly string[] = [...EUROPE, ...ELSEWHERE];

const NEVER_ESTIMATED: readonly AnalyteId[] = [
  ...(['alpha_pct', 'beta_pct', 'cohumulone_pct_of_alpha', 'total_oil_ml_per_100g'] as const),
  ...(['g_sh3_mg_per_kg', 'cys_sh3_mg_per_kg'] as const),
];
export const ESTIMATED_ANALYTES: readonly AnalyteId[] = ANALYTES.filter(
  (analyte) => !NEVER_ESTIMATED.includes(analyte),
);

/** The estimators that a row gives, the one to try first in front, and how large their errors are. */
export interface WorkedOut {
  readonly estimators: readonly Estimator[];
  readonly error: EstimateError;
}

/**
 * Works out the estimators of a row. `least_error` picks the way that is nearest when varieties with
 * the figure are left out in turn, and sets the range by those errors; a regression is followed by
 * the pooled median, for hops of which too little is given, save for the figures that decide. A pooled median gives each variety with a figure that is not recalled
 * one vote; low and high are the least low and the greatest high of those cells. A ratio is the
 * median, least and greatest quotient over the sound samples that carry both figures. For both,
 * high is at least twice the centre. `undefined` where nothing can be worked out.
 */
export function workOut(
  row: EstimateRow,
  measurements: readonly MeasurementRow[],
  curated: ReadonlyMap<string, Cells>,
): WorkedOut | undefined {
  const analyte = row.analyte as AnalyteId;
  const from = witnesses(analyte, curated);
  if (row.method === 'least_error') return leastError(row, from);
  const estimator = byRule(row, measurements, curated);
  return estimator && { estimators: [estimator], error: unjudged(row, from) };
}

function leastError(row: EstimateRow, from: readonly Witness[]): WorkedOut | undefined {
  if (!enough(from)) return undefined;
  const analyte = row.analyte as AnalyteId;
  const { choice, report } = choose(analyte, from);
  // Neighbours would have to be stored with every lot. That is not written, so this method is an error here.
  if (choice.method === 'neighbours') return undefined;
  const typical = median(from.map(({ target }) => target));
  const plain = estimatorOf(row, from, `${row.id}_pooled`, typical, leftOut('pooled', from));
  if (choice.method !== 'regression') {
    const heard = choice.method === 'pooled' ? from : from.filter(({ read }) => read);
    const middle = median(heard.map(({ target }) => target));
    const estimators = [estimatorOf(row, heard, row.id, middle, choice.errors)];
    return { estimators, error: report };
  }
  const fit = regress(from);
  const leaning: Estimator = {
    ...estimatorOf(row, from, row.id, fit.typical, choice.errors),
    leanings: fit.leanings.map(({ on, reference, power }) => ({
      ...{ on, reference: rounded(reference), power: rounded(power) },
    })),
    within: [
      rounded(Math.exp(min(from.map(({ target }) => target)))),
      rounded(Math.exp(max(from.map(({ target }) => target)))),
    ],
  };
  // A deciding figure is never filled by a bare median: where too little is given it stays missing.
  const deciding = (REQUIRED_ANALYTES as readonly AnalyteId[]).includes(analyte);
  return { estimators: deciding ? [leaning] : [leaning, plain], error: report };
}

function estimatorOf(
  { analyte, applies_to: appliesTo, sources }: EstimateRow,
  from: readonly Witness[],
  id: string,
  log: number,
  errors: readonly number[],
): Estimator {
  const { low, high } = rangeFactors(errors);
  const central = Math.exp(log);
  return {
    ...{ id, analyte: analyte as AnalyteId, appliesTo, sources, count: from.length },
    ...{ low: rounded(central * low), central: rounded(central), high: rounded(central * high) },
  };
}

/** A rule without data to judge it by: reported, not left out. */
function unjudged(row: EstimateRow, from: readonly Witness[]): EstimateError {
  const nRead = from.filter(({ read }) => read).length;
  return {
    ...{ analyte: row.analyte as AnalyteId, method: row.method, n: from.length, nRead },
    ...{ medianFold: null, fold80: null, medianFoldRead: null, coverage90: null, compared: [] },
    note: enough(from)
      ? 'a stated rule, not chosen by error'
      : `too few to judge: varieties with a figure ${from.length}, of them read ${nRead}`,
  };
}

function byRule(
  row: EstimateRow,
  measurements: readonly MeasurementRow[],
  curated: ReadonlyMap<string, Cells>,
): Estimator | undefined {
  const { id, analyte, applies_to: appliesTo, sources } = row;
  const finish = (range: Interval | undefined, count: number, times?: AnalyteId) =>
    range && { id, analyte: analyte as AnalyteId, appliesTo, times, sources, count, ...range };
  if (row.method === 'stated') {
    const { low, central, high } = row;
    const known = low !== undefined && central !== undefined && high !== undefined;
    return finish(known ? { low, central, high } : undefined, 0);
  }
  if (row.method === 'pooled_median') {
    const cells = [...curated.values()].flatMap((ofVariety) => {
      const cell = ofVariety[analyte as AnalyteId];
      return cell === undefined || cell.status === 'memory' ? [] : [cell];
    });
    return finish(pool(cells), cells.length);
  }
  const shares = quotients(row.share_of, measurements).map((share) => ({
    low: share,
    central: share,
    high: share,
  }));
  return finish(pool(shares), shares.length, row.method.slice('ratio:'.length) as AnalyteId);
}

function pool(ranges: readonly Interval[]): Interval | undefined {
  if (ranges.length === 0) return undefined;
  const central = median(ranges.map((range) => range.central));
  return {
    low: min(ranges.map((range) => range.low)),
    central,
    high: Math.max(max(ranges.map((range) => range.high)), 2 * central),
  };
}

/** `a/b` in every sample that carries both in percent of oil and is not excluded. */
function quotients(shareOf: string, measurements: readonly MeasurementRow[]): number[] {
  const [over, under] = shareOf.split('/');
  const sound = measurements.filter(
    (row) => row.sample !== '' && row.exclude === '' && row.unit === 'pct_of_oil',
  );
  const key = (row: MeasurementRow) => `${row.source_id}|${row.sample}`;
  const below = new Map(
    sound.filter((row) => row.analyte === under).map((row) => [key(row), row.value]),
  );
  return sound
    .filter((row) => row.analyte === over)
    .flatMap((row) => {
      const base = below.get(key(row));
      return row.value === undefined || !base ? [] : [row.value / base];
    });
}

/** Which of two estimators for one analyte is nearer to the variety: named, then region, then all. */
function nearness(estimator: Estimator, variety: VarietyRow): number {
  if (estimator.appliesTo === 'all') return 1;
  if (estimator.appliesTo === regionOf(variety)) return 2;
  return estimator.appliesTo.split('+').includes(variety.name) ? 3 : 0;
}

/** A variety of unknown origin does not get the narrower European range. */
function regionOf(variety: VarietyRow): string {
  return EUROPE.includes(variety.origin.slice(0, 2)) ? 'europe' : 'elsewhere';
}

/** The estimators of an analyte that apply to a variety, the nearest first. */
export function nearestEstimators(
  analyte: AnalyteId,
  variety: VarietyRow,
  estimators: readonly Estimator[],
): Estimator[] {
  return estimators
    .filter((estimator) => estimator.analyte === analyte && nearness(estimator, variety) > 0)
    .sort((a, b) => nearness(b, variety) - nearness(a, variety));
}

/** `cells` with the missing ones filled; a ratio to a figure that is itself missing fills nothing. */
export function fill(cells: Cells, variety: VarietyRow, estimators: readonly Estimator[]): Cells {
  const filled: Cells = { ...cells };
  for (const analyte of ESTIMATED_ANALYTES) {
    if (cells[analyte] !== undefined) continue;
    const [cell] = nearestEstimators(analyte, variety, estimators).flatMap(
      (estimator) => estimatedCell(estimator, cells) ?? [],
    );
    if (cell !== undefined) filled[analyte] = roundedCell(cell);
  }
  return Object.fromEntries(
    ANALYTES.flatMap((analyte) => {
      const cell = filled[analyte];
      return cell === undefined ? [] : [[analyte, cell]];
    }),
  );
}

function roundedCell(cell: Cell): Cell {
  const { low, central, high } = cell;
  return { ...cell, low: rounded(low), central: rounded(central), high: rounded(high) };
}
