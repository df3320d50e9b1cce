// What a search has found is worked out to its end: heard on the way, as often as it rests, but never given up.
import { describe, expect, it } from 'vitest';
import { Clock, completed, listening, type Resting } from '#optimize/pacing/clock.ts';

/** A part that rests so often, and how often it has rested. */
function partOf(rests: number): { readonly part: Resting<string>; readonly at: () => number } {
  let at = 0;
  const part = (function* (): Resting<string> {
    for (; at < rests; at += 1) yield;
    return 'whole';
  })();
  return { part, at: () => at };
}

/** A clock on which each look takes longer than may pass unheard. */
function slowClock(): Clock {
  let looks = 0;
  return new Clock(Infinity, () => (looks += 100));
}

describe('a part that is completed', () => {
  it('is heard at every rest', () => {
    const { part, at } = partOf(7);
    const run = completed(slowClock(), part, at);
    const told: number[] = [];
    let step = run.next();
    for (; !step.done; step = run.next()) told.push(step.value);
    expect(told).toEqual([0, 1, 2, 3, 4, 5, 6]);
    expect(step.value).toBe('whole');
  });

  it('goes on to its end at once where it is stopped, and the stop is kept', () => {
    const clock = slowClock();
    const { part, at } = partOf(7);
    const run = completed(clock, part, at);
    for (let step = 0; step < 3; step += 1) expect(run.next().done).toBe(false);
    expect(run.next('stop')).toEqual({ done: true, value: 'whole' });
    expect(clock.stopped).toBe(true);
  });

  it('would be given up where it is only listened to', () => {
    const { part, at } = partOf(7);
    const run = listening(slowClock(), part, at);
    run.next();
    expect(run.next('stop')).toEqual({ done: true, value: null });
    expect(at()).toBe(0);
  });
});
