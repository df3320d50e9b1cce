// The predictions against published experiments: what holds must hold, what is known to miss must
// miss (or its reason is out of date), and the committed scoreboard must be what the program gives.
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import board from '#data/generated/scoreboard.json' with { type: 'json' };
import sources from '#data/generated/sources.json' with { type: 'json' };
import { HOLDS_WITHIN, readObservations, type Observation } from './observations.ts';
import { PREDICTIONS } from './predictions.ts';
import { experimentsText, foldError, goes, judge, scoreboard, scoreboardText } from './score.ts';

const observations = readObservations();
const found = scoreboard();

describe('published experiments', () => {
  it.each(found.rows.filter(({ holds }) => holds !== null).map((row) => [row.id, row] as const))(
    '%s',
    (id, { holds, reason, observed, unit, predicted, source }) => {
      const figures = `${id} (${source}): found ${observed} ${unit}, predicted ${predicted}`;
      const cure = holds
        ? 'it holds now: empty its reason in data/published/'
        : 'a new miss: mend the model, or give the reason in data/published/';
      expect(holds, `${figures}; ${cure}`).toBe(reason === '');
    },
  );

  it('are each predicted, or not scored for a stated reason', () => {
    for (const { id, kind, reason } of observations) {
      expect(id in PREDICTIONS, id).toBe(kind !== 'unscored');
      if (kind === 'unscored') expect(reason, id).not.toBe('');
    }
    const ids = observations.map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    expect(Object.keys(PREDICTIONS).filter((id) => !ids.includes(id))).toEqual([]);
  });

  it('cite sources that are listed, and say where figures were recalled', () => {
    for (const { id, source, status } of observations) {
      expect(sources, id).toHaveProperty(source);
      const { read } = sources[source as keyof typeof sources];
      if (read === 'not opened; recalled') expect(status, id).toBe('memory');
    }
  });

  it('give the committed scoreboard (if the change is meant: npm run scoreboard)', () => {
    const file = new URL('../../data/generated/scoreboard.json', import.meta.url);
    expect(readFileSync(file, 'utf8')).toBe(scoreboardText(found));
    const experiments = new URL('../../data/generated/experiments.json', import.meta.url);
    expect(readFileSync(experiments, 'utf8')).toBe(experimentsText(found));
  });

  it('are counted without the checks of the arithmetic, of which none may fail', () => {
    const judged = board.rows.filter(({ holds }) => holds !== null);
    expect(board.all.of + board.codeChecks.of).toBe(judged.length);
    expect(board.numeric.of + board.ranges.of + board.directions.of).toBe(board.all.of);
    expect(board.codeChecks.held).toBe(board.codeChecks.of);
    expect(board.rows.length - judged.length).toBe(board.unscored);
  });
});

describe('the rules of the score', () => {
  const row = (change: Partial<Observation>): Observation => ({ ...observations[0]!, ...change });
  const numeric = (cls: Observation['class'], predicted: number) =>
    judge(row({ kind: 'numeric', class: cls, value: 10 }), predicted);

  it('allow a factor of two for oxygenates, of three for hydrocarbons and thiols', () => {
    expect(HOLDS_WITHIN).toMatchObject({ oxygenate: 2, hydrocarbon: 3, thiol: 3 });
    expect(numeric('oxygenate', 19.9)).toEqual({ holds: true, fold: expect.closeTo(1.99, 9) });
    expect(numeric('oxygenate', 20.1).holds).toBe(false);
    expect(numeric('oxygenate', 4.9)).toEqual({ holds: false, fold: expect.closeTo(10 / 4.9, 9) });
    expect(numeric('thiol', 29).holds && numeric('hydrocarbon', 3.4).holds).toBe(true);
    expect(numeric('thiol', 31).holds || numeric('hydrocarbon', 3.3).holds).toBe(false);
  });

  it('count the ends of a range as inside', () => {
    const inside = (x: number) => judge(row({ kind: 'range', low: 2, high: 4 }), x).holds;
    expect([1.9, 2, 3, 4, 4.1].map(inside)).toEqual([false, true, true, true, false]);
  });

  it('take the sign of a change, and no change for one nobody notices', () => {
    expect([0.5, 1, 2].map((ratio) => goes(ratio, 'rise'))).toEqual([false, false, true]);
    expect([0.5, 1, 2].map((ratio) => goes(ratio, 'fall'))).toEqual([true, false, false]);
    // just noticeable: 25 %
    expect([0.79, 0.81, 1.24, 1.26].map((r) => goes(r, 'same'))).toEqual([
      false,
      true,
      true,
      false,
    ]);
  });

  it('measure error by factors, alike both ways', () => {
    expect(foldError(2, 8)).toBeCloseTo(4, 12);
    expect(foldError(8, 2)).toBeCloseTo(4, 12);
    expect(foldError(3, 3)).toBe(1);
  });

  it('refuse to judge a row that holds nothing to judge by', () => {
    expect(() => judge(row({ kind: 'numeric', value: undefined }), 1)).toThrow(/nothing to be/);
  });
});
