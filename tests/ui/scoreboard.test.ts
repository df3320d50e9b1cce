// The scoreboard as a reader meets it: every row with its source, and no miss hidden.
import { render } from 'svelte/server';
import { expect, test } from 'vitest';
import board from '#data/generated/scoreboard.json' with { type: 'json' };
import { foldText } from '#shared/evidence/scoreboard.ts';
import Scoreboard from '#ui/evidence/Scoreboard.svelte';

const text = render(Scoreboard)
  .body.replace(/<[^>]*>/g, ' ')
  .replace(/\s+/g, ' ');
const times = (part: string) => text.split(part).length - 1;

test('says how many hold, and on how many that are independent', () => {
  expect(text).toContain(`${board.all.held} of ${board.all.of} predictions hold`);
  const { of, held } = board.independent;
  expect(text).toContain(`of the ${of} predictions for all others, ${held} hold`);
  expect(text).toContain(`off by a factor of ${foldText(board.medianFold)}.`);
});

test('shows every miss with its reason, and every finding that is not scored', () => {
  const misses = board.rows.filter(({ holds }) => holds === false);
  expect(misses.length).toBeGreaterThan(0);
  expect(text.match(/\bmisses\b/g)).toHaveLength(misses.length);
  for (const { reason } of board.rows) expect(text).toContain(reason);
  expect(times('Not scored:')).toBe(board.unscored);
});

test('names the source of every row', () => {
  for (const { source } of board.rows) {
    const rows = board.rows.filter((row) => row.source === source);
    expect(times(` ${source}`), source).toBeGreaterThanOrEqual(rows.length);
  }
});
