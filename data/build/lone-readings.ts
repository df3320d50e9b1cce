// How readings change cells beside the rule of curate.ts: a lone reading of a thiol is drawn halfway to what is usual
// of its class, so that no hop wins only because it was measured; and readings by solvent extraction, which never set
// a centre, widen the range of the share of oil they contradict.
import { OIL_COMPOUNDS, THIOLS, analyteOf, isThiol, type AnalyteId } from '#shared/ids.ts';
import { estimatedCell, type Estimator } from '#shared/evidence/estimate.ts';
import type { Cell } from '#shared/schemas/tables.ts';
import { rounded, type Cells } from '#shared/tables/cells.ts';
import { isGroup } from './curate.ts';
import { nearestEstimators } from './estimate.ts';
import type { MeasurementRow, VarietyRow } from '#shared/tables/rows.ts';

/** Varieties for which a thiol must have been read before one reading counts as it is. */
const ENOUGH_READ = 3;

/** Thiols that were read for so few varieties that a reading may say as much of the laboratory as of the hop. */
export function seldomRead(curated: ReadonlyMap<string, Cells>): AnalyteId[] {
  return THIOLS.map(analyteOf).filter((analyte) => {
    const read = [...curated.values()].filter((cells) => {
      const status = cells[analyte]?.status;
      return status !== undefined && status !== 'memory';
    });
    return read.length < ENOUGH_READ;
  });
}

/** Cells with the lone readings among them drawn halfway, on the log scale, to their class. */
export function shrunk(
  cells: Cells,
  variety: VarietyRow,
  estimators: readonly Estimator[],
  seldom: readonly AnalyteId[],
): Cells {
  const result: Cells = { ...cells };
  for (const analyte of seldom) {
    const cell = cells[analyte];
    if (!cell || cell.status === 'memory' || cell.sources.length > 1) continue;
    const [usual] = nearestEstimators(analyte, variety, estimators).flatMap(
      (estimator) => estimatedCell(estimator, {}) ?? [],
    );
    if (!usual || usual.central <= 0 || cell.central <= 0) continue;
    const central = rounded(Math.sqrt(cell.central * usual.central));
    const low = Math.min(cell.low, central);
    const high = Math.max(cell.high, central);
    const sources = [...new Set([...cell.sources, 'CALC'])].sort();
    result[analyte] = { low, central, high, status: 'derived', sources };
  }
  return result;
}

/** Units of contents by weight of hop, to mg/kg. */
const BY_WEIGHT: Readonly<Record<string, number>> = { 'mg/kg': 1, 'mg/100g': 10 };

/** Cells whose ranges hold what solvent extraction found as well, as share of the variety's own oil. */
export function widened(
  cells: Cells,
  variety: Pick<VarietyRow, 'name'>,
  rows: readonly MeasurementRow[],
  oilDensity: number,
): Cells {
  const oil = cells.total_oil_ml_per_100g?.central;
  if (!oil) return cells;
  const result: Cells = { ...cells };
  for (const compound of OIL_COMPOUNDS) {
    if (isThiol(compound)) continue;
    const analyte = analyteOf(compound);
    const cell: Cell | undefined = result[analyte];
    if (!cell) continue;
    const own = rows.filter(
      (row) =>
        row.variety === variety.name &&
        row.analyte === compound &&
        row.unit in BY_WEIGHT &&
        row.exclude === '' &&
        !isGroup(row),
    );
    const shares = own.flatMap(({ value, min, max, unit }) =>
      [value, min, max].flatMap((figure) =>
        figure === undefined ? [] : [(figure * BY_WEIGHT[unit]!) / (oil * oilDensity * 100)],
      ),
    );
    const low = rounded(Math.min(cell.low, ...shares));
    const high = rounded(Math.max(cell.high, ...shares));
    if (low === cell.low && high === cell.high) continue;
    const sources = [...new Set([...cell.sources, ...own.map((row) => row.source_id)])].sort();
    result[analyte] = { ...cell, low, high, sources };
  }
  return result;
}
