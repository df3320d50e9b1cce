// From many measurements to one cell for each variety and analyte, by a fixed rule:
// groups and excluded rows stay out, UV acids give way to HPLC, every source has one vote, the best
// tiers that have a figure decide, and a recalled figure never moves a centre that was read.
import { group } from 'd3';
import { mean, median } from 'simple-statistics';
import { ANALYTES, THIOLS, analyteOf, type AnalyteId } from '#shared/ids.ts';
import type { Cell } from '#shared/schemas/tables.ts';
import type { MeasurementRow, Tier } from './rows.ts';
import { measuredAnalytes, type Constants } from './units.ts';

export type Cells = Partial<Record<AnalyteId, Cell>>;

/** Sources of the first rank that has a central figure are used, all others are left aside. */
const RANKS: readonly (readonly Tier[])[] = [['A', 'B'], ['C', 'D'], ['M']];

interface StatedFigure {
  readonly source: string;
  readonly value?: number;
  readonly min?: number;
  readonly max?: number;
  readonly derived: boolean;
}

export function isGroup(row: Pick<MeasurementRow, 'variety'>): boolean {
  return row.variety.startsWith('GROUP ');
}

/** Four significant digits: more than any of these figures carries. */
export function rounded(figure: number): number {
  return Number(figure.toPrecision(4));
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
      const cell = toCell(ofVariety.get(analyte) ?? [], tiers, MIDDLE[analyte] ?? middleOf);
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
  const measured = measuredAnalytes(constants);
  const key = (row: MeasurementRow) => `${row.variety}|${row.source_id}|${row.analyte}`;
  const byHplc = new Set(rows.filter((row) => row.method === 'hplc').map(key));
  for (const row of rows) {
    const { analyte, units } = measured.get(row.analyte) ?? { units: {} };
    const factor = units[row.unit];
    if (isGroup(row) || row.exclude !== '' || analyte === undefined) continue;
    if (factor === undefined || factor === null) continue;
    if (row.method === 'uv' && byHplc.has(key(row))) continue;
    const convert = (figure: number | undefined) =>
      figure === undefined ? undefined : figure * factor;
    yield {
      variety: row.variety,
      analyte,
      figure: {
        source: row.source_id,
        value: convert(row.value),
        min: convert(row.min),
        max: convert(row.max),
        derived: row.status === 'derived',
      },
    };
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
  const told = rows.filter(
    (row) => row.analyte === 'alpha_kept_6_months' && row.exclude === '' && !isGroup(row),
  );
  const result = new Map<string, Cell>();
  for (const [variety, own] of group(told, (row) => row.variety)) {
    const figures = own.map(({ source_id: source, value, min, max, status }) => {
      return { source, value, min, max, derived: status === 'derived' };
    });
    const cell = toCell(figures, tiers, middleOf);
    if (cell !== undefined) result.set(variety, cell);
  }
  return result;
}

/** The figure that stands for a range. */
type Middle = (low: number, high: number) => number;

const middleOf: Middle = (low, high) => (low + high) / 2;

/**
 * Ranges of free thiols are orders of magnitude: their middle is the geometric one, and a fifth of the
 * upper end where they begin at zero, as for the estimates of those hops nothing is recalled of.
 */
const thiolMiddle: Middle = (low, high) => (low > 0 ? Math.sqrt(low * high) : high / 5);
const MIDDLE: Partial<Record<AnalyteId, Middle>> = Object.fromEntries(
  THIOLS.map((thiol) => [analyteOf(thiol), thiolMiddle]),
);

function toCell(
  figures: readonly StatedFigure[],
  tiers: ReadonlyMap<string, Tier>,
  middle: Middle,
): Cell | undefined {
  const bySource = group(figures, (figure) => figure.source);
  const votes = [...bySource].flatMap(([source, own]) => {
    const number = vote(own, middle);
    return number === undefined ? [] : [{ source, number, own, tier: tiers.get(source) }];
  });
  for (const rank of RANKS) {
    const used = votes.filter(({ tier }) => tier !== undefined && rank.includes(tier));
    if (used.length === 0) continue;
    const every = used
      .flatMap(({ own }) => own.flatMap((figure) => [figure.value, figure.min, figure.max]))
      .filter((figure) => figure !== undefined);
    const read = used.some(({ own }) => own.some(({ derived }) => derived)) ? 'derived' : 'seen';
    return {
      low: rounded(Math.min(...every)),
      central: rounded(median(used.map(({ number }) => number))),
      high: rounded(Math.max(...every)),
      status: rank.includes('M') ? 'memory' : rank.includes('C') ? 'printed' : read,
      sources: used.map(({ source }) => source).sort(),
    };
  }
  return undefined;
}

/** One number for a source: the mean of its values, else the mean of the middles of its ranges. */
function vote(figures: readonly StatedFigure[], middle: Middle): number | undefined {
  const values = figures.flatMap(({ value }) => (value === undefined ? [] : [value]));
  if (values.length > 0) return mean(values);
  const middles = figures.flatMap(({ min, max }) =>
    min === undefined || max === undefined ? [] : [middle(min, max)],
  );
  return middles.length > 0 ? mean(middles) : undefined;
}
