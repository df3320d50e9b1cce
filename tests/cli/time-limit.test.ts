// A time limit of the command line counts from the start of the process to its end: what is left for the search.
import { expect, test } from 'vitest';
import { success } from '#shared/outcome.ts';
import { searched } from '#cli/searching.ts';
import { TimeLimit } from '#cli/time-limit.ts';

const SECOND = 1000;

test('starting and reading come off the limit, and writing is kept back by what the start took', () => {
  const [began, started] = [500, 600];
  const one = new TimeLimit(10, began, started, 1);
  const [at, later] = [began + 2 * SECOND, began + 3 * SECOND];
  expect(one.left(at) - one.left(later)).toBeCloseTo(SECOND);
  const kept = began + 10 * SECOND - at - one.left(at);
  expect(kept).toBeGreaterThan(0);
  expect(kept).toBeLessThan(started - began);
  const five = new TimeLimit(10, began, started, 5);
  expect(one.left(at) - five.left(at)).toBeCloseTo(4 * kept);
});

test('however slow the start was, a part of the limit is for the search', () => {
  const limit = new TimeLimit(1, 0, 5 * SECOND, 5);
  expect(limit.left(6 * SECOND)).toBeGreaterThan(0.2 * SECOND);
  // No more than a tenth is kept back, whatever the start says.
  expect(new TimeLimit(100, 0, 50 * SECOND, 5).left(50 * SECOND)).toBeCloseTo(40 * SECOND);
});

test('a search is told what is left when it begins; without a limit it is told none', () => {
  const asked: unknown[] = [];
  function* search(options: object) {
    asked.push(options);
    yield { milliseconds: 7 };
    return success(2);
  }
  const reports: unknown[] = [];
  const tell = (...words: unknown[]) => void reports.push(words);
  const options = { band: 3 };
  for (const request of [
    { options, tell, limit: { left: () => 42 } },
    { options, tell },
  ]) {
    const found = searched(request as never, search as never, () => 'one step');
    expect(found).toEqual(success(2));
  }
  expect(reports).toEqual([
    [7, 'one step'],
    [7, 'one step'],
  ]);
  expect(asked[1]).toEqual({ band: 3 });
  expect(asked[0]).toEqual({ band: 3, timeLimitMs: 42 });
});
