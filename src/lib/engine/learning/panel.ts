// What a panel says and how well it agrees: means with their spread, the agreement of tasters as an intraclass
// correlation, and the exact probability of a triangle test.
import { mean, sampleStandardDeviation } from 'simple-statistics';
import { AXES, type AxisId } from '#shared/ids.ts';
import type { NoteScore } from './evidence.ts';

/** The panel's result for one note of one beer. */
export interface PanelNote {
  readonly axis: AxisId;
  readonly mean: number;
  /** Standard deviation between tasters; `null` where there is one taster. */
  readonly spread: number | null;
  readonly tasters: number;
}

/** The mean of each taster's repeats for an axis. */
function byTaster(scores: readonly NoteScore[], axis: AxisId): number[] {
  const own = scores.filter((s) => s.axis === axis);
  return [...new Set(own.map((s) => s.taster))].map((taster) =>
    mean(own.flatMap((s) => (s.taster === taster ? [s.score] : []))),
  );
}

/** The panel's notes of one beer, those that somebody scored; the repeats of a taster count as one score. */
export function panelOf(scores: readonly NoteScore[]): PanelNote[] {
  return AXES.flatMap((axis): PanelNote[] => {
    const said = byTaster(scores, axis);
    if (said.length === 0) return [];
    const spread = said.length > 1 ? sampleStandardDeviation(said) : null;
    return [{ axis, mean: mean(said), spread, tasters: said.length }];
  });
}

/**
 * Intraclass correlation ICC(2,1): two-way random effects, absolute agreement, one taster's score (Shrout &
 * Fleiss 1979). 1: tasters agree; 0 or less: they agree no more than by chance. `null` where there are fewer
 * than two tasters or fewer than two things scored by all, or where all scores are equal.
 * @param table rows by what is scored, columns by taster
 */
export function agreementOf(table: readonly (readonly number[])[]): number | null {
  const n = table.length;
  const k = table[0]?.length ?? 0;
  if (n < 2 || k < 2) return null;
  const all = mean(table.flat());
  const rowMeans = table.map((row) => mean([...row]));
  const columnMeans = table[0]!.map((_, j) => mean(table.map((row) => row[j]!)));
  const squares = (values: readonly number[]) => values.reduce((s, v) => s + (v - all) ** 2, 0);
  const whole = squares(table.flat());
  const rows = k * squares(rowMeans);
  const columns = n * squares(columnMeans);
  const betweenRows = rows / (n - 1);
  const betweenColumns = columns / (k - 1);
  const rest = (whole - rows - columns) / ((n - 1) * (k - 1));
  const below = betweenRows + (k - 1) * rest + (k * (betweenColumns - rest)) / n;
  return below > 0 ? (betweenRows - rest) / below : null;
}

/** The scores given by every taster of the panel, for `agreementOf`: one row for each note of each beer. */
export function commonTable(beers: readonly (readonly NoteScore[])[]): number[][] {
  const tasters = [...new Set(beers.flat().map((s) => s.taster))];
  return beers.flatMap((scores) =>
    AXES.flatMap((axis) => {
      const row = tasters.map((taster) => {
        const own = scores.flatMap((s) =>
          s.axis === axis && s.taster === taster ? [s.score] : [],
        );
        return own.length > 0 ? mean(own) : null;
      });
      return row.every((score) => score !== null) ? [row] : [];
    }),
  );
}

/** Chance of picking the odd glass of three by guessing. */
const BY_GUESSING = 1 / 3;

/**
 * Chance of at least so many right picks in a triangle test by guessing alone: the exact binomial tail.
 * @param right 0 to `tests`
 */
export function triangleChance(tests: number, right: number): number {
  let term = (1 - BY_GUESSING) ** tests;
  let below = 0;
  for (let k = 0; k < right; k += 1) {
    below += term;
    term *= ((tests - k) / (k + 1)) * (BY_GUESSING / (1 - BY_GUESSING));
  }
  return Math.max(0, 1 - below);
}
