// Fills the cells for which no figure was found, each by a stated estimator of estimates.csv.
// Never estimated: the figures without which a hop is not offered, those the engine does without
// (beta, cohumulone) and bound thiols, for which the engine has its own classes.
import { median, max, min } from 'simple-statistics';
import { ANALYTES, REQUIRED_ANALYTES, type AnalyteId } from '#shared/ids.ts';
import type { Interval } from '#shared/interval.ts';
import { estimatedCell, type Estimator } from '#shared/estimate.ts';
import type { Cell } from '#shared/schemas/tables.ts';
import { rounded, type Cells } from './curate.ts';
import type { EstimateRow, MeasurementRow, VarietyRow } from './rows.ts';

/** Bred, and so mostly grown, in Europe. */
const EUROPE = ['CZ', 'DE', 'FR', 'PL', 'SI', 'UA', 'UK'];
const ELSEWHERE = ['AU', 'JP', 'NZ', 'US'];
export const COUNTRIES: readonly string[] = [...EUROPE, ...ELSEWHERE];

export const ESTIMATED_ANALYTES: readonly AnalyteId[] = ANALYTES.filter(
  (analyte) =>
    !(REQUIRED_ANALYTES as readonly AnalyteId[]).includes(analyte) &&
    !['beta_pct', 'cohumulone_pct_of_alpha', 'g_sh3_mg_per_kg', 'cys_sh3_mg_per_kg'].includes(
      analyte,
    ),
);

/**
 * Works out the estimators. A pooled median gives each variety with a figure that is not recalled
 * one vote; low and high are the least low and the greatest high of those cells. A ratio is the
 * median, least and greatest quotient over the sound samples that carry both figures. For both,
 * high is at least twice the centre. `undefined` where nothing can be worked out.
 */
export function workOut(
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

/** A variety of unknown origin does not get the benefit of the narrower European range. */
function regionOf(variety: VarietyRow): string {
  return EUROPE.includes(variety.origin.slice(0, 2)) ? 'europe' : 'elsewhere';
}

/** `cells` with the missing ones filled; a ratio to a figure that is itself missing fills nothing. */
export function fill(cells: Cells, variety: VarietyRow, estimators: readonly Estimator[]): Cells {
  const filled: Cells = { ...cells };
  for (const analyte of ESTIMATED_ANALYTES) {
    if (cells[analyte] !== undefined) continue;
    const [nearest] = estimators
      .filter((estimator) => estimator.analyte === analyte && nearness(estimator, variety) > 0)
      .sort((a, b) => nearness(b, variety) - nearness(a, variety));
    const cell = nearest && estimatedCell(nearest, cells);
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
