// Work is counted so that it rests by its amount; what says nothing of how far a search is counts for rests alone.
import { expect, it } from 'vitest';
import { Effort, EFFORT_AT_ONCE } from '#optimize/pacing/clock.ts';

it('rests are due by all work, progress counts what was spent', () => {
  const effort = new Effort();
  effort.spend(EFFORT_AT_ONCE / 2);
  expect(effort.due).toBe(false);
  effort.pass(EFFORT_AT_ONCE);
  expect(effort.due).toBe(true);
  expect(effort.total).toBe(EFFORT_AT_ONCE / 2);
  expect(effort.largest).toBe(1.5 * EFFORT_AT_ONCE);
  effort.rested();
  expect(effort.due).toBe(false);
  effort.spend(1);
  expect(effort.total).toBe(EFFORT_AT_ONCE / 2 + 1);
  expect(effort.largest).toBe(1.5 * EFFORT_AT_ONCE);
});
