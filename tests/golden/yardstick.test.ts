// Engine and search against the yardstick: predictions equal to 1e-9, answers to the weighing step.
// What moves them on purpose is a change of the model: then `npm run golden` writes them anew.
import { describe, expect, it } from 'vitest';
import { BRIEFS, keptYardstick, predictionOf, SCHEDULES, yardstickAnswer } from './yardstick.ts';

const RELATIVE = 1e-9;
const kept = keptYardstick();

function holdsEqual(now: readonly number[], then: readonly number[], what: string): void {
  expect(now.length, what).toBe(then.length);
  now.forEach((figure, i) => {
    const scale = Math.max(Math.abs(then[i]!), 1e-12);
    if (!(Math.abs(figure - then[i]!) <= RELATIVE * scale)) {
      expect.fail(`${what} ${i}: ${figure}, was ${then[i]}`);
    }
  });
}

describe('the yardstick', () => {
  it('holds what the engine predicts for every drawn schedule', () => {
    expect(kept.predictions).toHaveLength(SCHEDULES);
    kept.predictions.forEach((then, i) => {
      const now = predictionOf(i);
      holdsEqual(now.compounds, then.compounds, `schedule ${i}, compound`);
      holdsEqual(now.signals, then.signals, `schedule ${i}, signal`);
      holdsEqual(now.totals, then.totals, `schedule ${i}, total`);
      holdsEqual(now.bands ?? [], then.bands ?? [], `schedule ${i}, band`);
    });
  });

  it('holds what the search answers for every drawn brief', () => {
    expect(kept.answers).toHaveLength(BRIEFS);
    kept.answers.forEach((then, i) => {
      const now = yardstickAnswer(i, then);
      expect([now.status, now.additions], `brief ${i}`).toEqual([then.status, then.additions]);
      holdsEqual(now.grams, then.grams, `brief ${i}, grams`);
    });
  });
});
