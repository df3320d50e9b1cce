// Met, short or over, against wishes worked out by hand.
import { describe, expect, it } from 'vitest';
import { standingOf } from '#charts/radar/miss.ts';

describe('standing of a prediction', () => {
  it('is free without a wish, met inside it', () => {
    expect(standingOf(undefined, 5)).toEqual({ kind: 'free' });
    expect(standingOf({ aim: 3.5, within: 0.4 }, 3.2)).toEqual({ kind: 'met' });
    expect(standingOf({ at_least: 3 }, 9)).toEqual({ kind: 'met' });
  });

  it('names the distance to the nearer edge', () => {
    const short = standingOf({ aim: 3.5, within: 0.4 }, 2.1);
    expect(short).toMatchObject({ kind: 'short', edge: 3.1 });
    expect(short.kind === 'short' && short.by).toBeCloseTo(1, 12);
    const over = standingOf({ at_most: 2 }, 2.7);
    expect(over.kind === 'over' && over.by).toBeCloseTo(0.7, 12);
  });

  it('does not call a miss what would read as 0.0', () => {
    expect(standingOf({ at_least: 3 }, 2.96).kind).toBe('met');
    expect(standingOf({ at_least: 3 }, 2.94).kind).toBe('short');
  });
});
