// From stated figures of one variety to one cell: one vote a source, the median of the votes, the extremes
// of all figures. Which sources may vote is decided by whoever asks.
import { group } from 'd3';
import { mean, median } from 'simple-statistics';
import { OIL_COMPOUNDS, THIOLS, analyteOf, type AnalyteId } from '#shared/ids.ts';
import type { Interval } from '#shared/interval.ts';
import type { Cell } from '#shared/schemas/tables.ts';
import type { MeasurementRow } from './rows.ts';
import { measuredAnalytes, type Constants } from './units.ts';

export type Cells = Partial<Record<AnalyteId, Cell>>;

export interface StatedFigure {
  readonly source: string;
  readonly value?: number | undefined;
  readonly min?: number | undefined;
  readonly max?: number | undefined;
  readonly derived: boolean;
}

/** What one source says of a cell. */
export interface Vote {
  readonly source: string;
  readonly number: number;
  readonly figures: readonly StatedFigure[];
}

/** Four significant digits: more than any of these figures carries. */
export function rounded(figure: number): number {
  return Number(figure.toPrecision(4));
}

/** The figure that stands for a range. */
type Middle = (low: number, high: number) => number;

export const middleOf: Middle = (low, high) => (low + high) / 2;

/**
 * Ranges of free thiols are orders of magnitude: their middle is the geometric one, and a fifth of the upper end
 * where they begin at zero, as in the estimates for hops of which nothing is recalled.
 */
const thiolMiddle: Middle = (low, high) => (low > 0 ? Math.sqrt(low * high) : high / 5);
const MIDDLE: Partial<Record<AnalyteId, Middle>> = Object.fromEntries(
  THIOLS.map((thiol) => [analyteOf(thiol), thiolMiddle]),
);

/** The figure of a row, in the unit of the column it fills. */
export interface InColumn {
  readonly analyte: AnalyteId;
  readonly figure: StatedFigure;
}

/** `undefined` where the row fills no column, or its unit is never brought over. */
export function converted(row: MeasurementRow, constants: Constants): InColumn | undefined {
  const { analyte, units } = measuredAnalytes(constants).get(row.analyte) ?? { units: {} };
  const factor = units[row.unit];
  if (analyte === undefined || factor === undefined || factor === null) return undefined;
  const { value, min, max } = scaled(row, factor);
  const derived = row.status === 'derived';
  return { analyte, figure: { source: row.source_id, value, min, max, derived } };
}

function scaled({ value, min, max }: MeasurementRow, factor: number) {
  const by = (figure: number | undefined) => (figure === undefined ? undefined : figure * factor);
  return { value: by(value), min: by(min), max: by(max) };
}

/** One vote for each source that has a central figure: the mean of its values, else of the middles of its ranges. */
export function votesOf(figures: readonly StatedFigure[], analyte: AnalyteId | null): Vote[] {
  const middle = (analyte && MIDDLE[analyte]) ?? middleOf;
  return [...group(figures, (figure) => figure.source)].flatMap(([source, own]) => {
    const number = voteOf(own, middle);
    return number === undefined ? [] : [{ source, number, figures: own }];
  });
}

function voteOf(figures: readonly StatedFigure[], middle: Middle): number | undefined {
  const values = figures.flatMap(({ value }) => (value === undefined ? [] : [value]));
  if (values.length > 0) return mean(values);
  const middles = figures.flatMap(({ min, max }) =>
    min === undefined || max === undefined ? [] : [middle(min, max)],
  );
  return middles.length > 0 ? mean(middles) : undefined;
}

/** The range of some votes, one at least. */
export function rangeOfVotes(votes: readonly Vote[]): Interval {
  const every = votes
    .flatMap(({ figures }) => figures.flatMap((figure) => [figure.value, figure.min, figure.max]))
    .filter((figure) => figure !== undefined);
  return {
    low: rounded(Math.min(...every)),
    central: rounded(median(votes.map(({ number }) => number))),
    high: rounded(Math.max(...every)),
  };
}

/** Percent of oil that the components may reach: at their lows, and at their centres. */
const OIL_LIMITS = { low: 100, central: 105 } as const;

/** How far the components of an oil add up to more than itself, %. */
export function oilExcess(cells: Cells): { bound: 'low' | 'central'; total: number }[] {
  return (['low', 'central'] as const).flatMap((bound) => {
    const total = OIL_COMPOUNDS.reduce((sum, c) => sum + (cells[analyteOf(c)]?.[bound] ?? 0), 0);
    return total > OIL_LIMITS[bound] ? [{ bound, total }] : [];
  });
}
