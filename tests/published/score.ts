// Judges the predictions against the observations and sums them up. Rules: a figure holds within
// the factor of its class, a range when the prediction lies in it, a direction when its sign is
// right; a change below the just noticeable difference, or below what the method can tell, counts as
// none where none was found.
import { median } from 'simple-statistics';
import type { Count, Scoreboard, ScoreRow } from '#shared/evidence/scoreboard.ts';
import { values } from './brewing.ts';
import { HOLDS_WITHIN, readObservations, type Observation } from './observations.ts';
import { PREDICTIONS } from './predictions.ts';
import { tasterAgreement } from './tasters.ts';

/** How many times too high or too low, 1 or more. */
export function foldError(predicted: number, observed: number): number {
  return Math.exp(Math.abs(Math.log(predicted / observed)));
}

/** Whether a ratio goes the way that was found. Rise and fall need one part in a hundred. */
export function goes(
  ratio: number,
  direction: 'rise' | 'fall' | 'same',
  same = 1 + values['aroma.jnd'],
): boolean {
  if (direction === 'rise') return ratio > 1.01;
  if (direction === 'fall') return ratio < 1 / 1.01;
  return foldError(ratio, 1) <= same;
}

/** Four digits, so that the generated file does not move with the last bit of a sum. */
const digits = (x: number) => Number(x.toPrecision(4));

function observed({ value, low, high, direction }: Observation): string {
  if (direction !== '') return direction;
  return value === undefined ? `${low}–${high}` : String(value);
}

/** The verdict on one observation; throws where the row gives nothing to judge by. */
export function judge(
  row: Observation,
  predicted: number,
): { holds: boolean; fold: number | null } {
  const { kind, value, low, high, direction } = row;
  const resolved = row.class === 'dilution' ? HOLDS_WITHIN.dilution : undefined;
  if (kind === 'numeric' && value !== undefined) {
    const fold = foldError(predicted, value);
    return { holds: fold < HOLDS_WITHIN[row.class], fold };
  }
  if (kind === 'range' && low !== undefined && high !== undefined) {
    return { holds: low <= predicted && predicted <= high, fold: null };
  }
  if (kind === 'direction' && direction !== '') {
    return { holds: goes(predicted, direction, resolved), fold: null };
  }
  throw new Error(`${row.id} is ${kind}, but has nothing to be judged by`);
}

/** What was found, with the hop and the compound where the quantity does not name it. */
function named({ hop, compound, quantity }: Observation): string {
  const isNamed = compound.split(' and ').every((part) => quantity.includes(part));
  return [hop, isNamed ? '' : compound, quantity].filter((s) => s !== '').join(': ');
}

function scored(row: Observation): ScoreRow {
  const predict = PREDICTIONS[row.id];
  const predicted = row.kind === 'unscored' ? null : predict!();
  const verdict = predicted === null ? null : judge(row, predicted);
  return {
    id: row.id,
    experiment: row.experiment,
    what: named(row),
    conditions: row.conditions,
    source: row.source,
    status: row.status,
    independent: row.independent,
    kind: row.kind,
    observed: observed(row),
    unit: row.unit,
    predicted: predicted === null ? null : digits(predicted),
    fold: verdict?.fold == null ? null : digits(verdict.fold),
    holds: verdict?.holds ?? null,
    codeCheck: row.class === 'code',
    reason: row.reason,
    taken: row.taken,
  };
}

function count(rows: readonly ScoreRow[]): Count {
  const judged = rows.filter(({ holds }) => holds !== null);
  return { held: judged.filter(({ holds }) => holds).length, of: judged.length };
}

export function scoreboard(): Scoreboard {
  const rows = readObservations().map(scored);
  const ofBeer = rows.filter(({ codeCheck }) => !codeCheck);
  const numeric = ofBeer.filter(({ kind }) => kind === 'numeric');
  const folds = ofBeer.flatMap(({ fold }) => (fold === null ? [] : [fold]));
  return {
    all: count(ofBeer),
    independent: count(ofBeer.filter(({ independent }) => independent === 'yes')),
    directions: count(ofBeer.filter(({ kind }) => kind === 'direction')),
    numeric: count(numeric),
    independentNumeric: count(numeric.filter(({ independent }) => independent === 'yes')),
    ranges: count(ofBeer.filter(({ kind }) => kind === 'range')),
    codeChecks: count(rows.filter(({ codeCheck }) => codeCheck)),
    unscored: rows.filter(({ kind }) => kind === 'unscored').length,
    medianFold: digits(median(folds)),
    tasters: tasterAgreement(),
    rows,
  };
}

/** The committed text: one row a line. */
/** What a source of a figure tells of a published experiment: its id, what was seen, and who published it. */
export function experimentsText({ rows }: Pick<Scoreboard, 'rows'>): string {
  const lines = rows.map(({ id, what, source }) => JSON.stringify({ id, what, source }));
  return `[\n${lines.join(',\n')}\n]\n`;
}

export function scoreboardText({ rows, ...sums }: Scoreboard): string {
  const head = Object.entries(sums).map(([key, sum]) => `"${key}":${JSON.stringify(sum)},`);
  const lines = rows.map((row) => JSON.stringify(row)).join(',\n');
  return `{\n${head.join('\n')}\n"rows":[\n${lines}\n]\n}\n`;
}
