// From many measurements to one cell for each variety and analyte, by a fixed rule: groups and excluded rows stay
// out, acids by UV are left out where there are some by HPLC, every source has one vote, the best tiers that have a
// figure decide, and a recalled figure never changes a centre that was read.
import { group } from 'd3';
import { ANALYTES, type AnalyteId } from '#shared/ids.ts';
import type { Cell } from '#shared/schemas/tables.ts';
import {
  converted,
  rangeOfVotes,
  votesOf,
  type Cells,
  type StatedFigure,
} from '#shared/tables/cells.ts';
import type { MeasurementRow, Tier } from '#shared/tables/rows.ts';
import type { Constants } from '#shared/tables/units.ts';

/** Sources of the first rank that has a central figure are used, all others are left aside. */
const RANKS: readonly (readonly Tier[])[] = [['A', 'B'], ['C', 'D'], ['M']];

export function isGroup(row: Pick<MeasurementRow, 'variety'>): boolean {
  return row.variety.startsWith('GROUP ');
}

/**
 * Cells of every variety that has at least one usable figure, by name. Units and sources must have
 * been checked before: a row whose unit is not known counts as one that fills no column.
 */
export function curate(
  rows: readonly MeasurementRow[],
  tiers: ReadonlyMap<string, Tier>,
  constants: Constants,
): Map<string, Cells> {
  const figures = new Map<string, Map<AnalyteId, StatedFigure[]>>();
  for (const { variety, analyte, figure } of usable(rows, constants)) {
    const ofVariety = figures.get(variety) ?? new Map<AnalyteId, StatedFigure[]>();
    figures.set(variety, ofVariety);
    ofVariety.set(analyte, [...(ofVariety.get(analyte) ?? []), figure]);
  }
  const result = new Map<string, Cells>();
  for (const [variety, ofVariety] of figures) {
    const cells: Cells = {};
    for (const analyte of ANALYTES) {
      const cell = toCell(ofVariety.get(analyte) ?? [], tiers, analyte);
      if (cell !== undefined) cells[analyte] = cell;
    }
    result.set(variety, cells);
  }
  return result;
}

/** The rows that may enter a cell, in the unit of their column. */
function* usable(
  rows: readonly MeasurementRow[],
  constants: Constants,
): Generator<{ variety: string; analyte: AnalyteId; figure: StatedFigure }> {
  const key = (row: MeasurementRow) => `${row.variety}|${row.source_id}|${row.analyte}`;
  const byHplc = new Set(rows.filter((row) => row.method === 'hplc').map(key));
  for (const row of rows) {
    if (isGroup(row) || row.exclude !== '') continue;
    if (row.method === 'uv' && byHplc.has(key(row))) continue;
    const of = converted(row, constants);
    if (of) yield { variety: row.variety, ...of };
  }
}

/**
 * Alpha acids left after 6 months at room temperature, % of the fresh, by variety: the same rule as
 * for a cell. A one-sided figure ("over 90") has no vote and fills none.
 */
export function curateKeeping(
  rows: readonly MeasurementRow[],
  tiers: ReadonlyMap<string, Tier>,
): Map<string, Cell> {
  const kept = rows.filter(
    (row) => row.analyte === 'alpha_kept_6_months' && row.exclude === '' && !isGroup(row),
  );
  const result = new Map<string, Cell>();
  for (const [variety, own] of group(kept, (row) => row.variety)) {
    const figures = own.map(({ source_id: source, value, min, max, status }) => {
      return { source, value, min, max, derived: status === 'derived' };
    });
    const cell = toCell(figures, tiers, null);
    if (cell !== undefined) result.set(variety, cell);
  }
  return result;
}

function toCell(
  figures: readonly StatedFigure[],
  tiers: ReadonlyMap<string, Tier>,
  analyte: AnalyteId | null,
): Cell | undefined {
  const votes = votesOf(figures, analyte);
  for (const rank of RANKS) {
    const used = votes.filter(({ source }) => {
      const tier = tiers.get(source);
      return tier !== undefined && rank.includes(tier);
    });
    if (used.length === 0) continue;
    const read = used.some(({ figures: own }) => own.some(({ derived }) => derived))
      ? 'derived'
      : 'seen';
    return {
      ...rangeOfVotes(used),
      status: rank.includes('M') ? 'memory' : rank.includes('C') ? 'printed' : read,
      sources: used.map(({ source }) => source).sort(),
    };
  }
  return undefined;
}
