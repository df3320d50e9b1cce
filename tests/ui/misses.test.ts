// How a missed wish is told: what was asked beside what a blend gives, before a change and after it.
import { describe, expect, it } from 'vitest';
import { AXES, type AxisId } from '#shared/ids.ts';
import type { Miss, PointBlend } from '#shared/answers/answer.ts';
import { askedWords } from '#wording/asked.ts';
import { missedThen } from '#wording/misses.ts';

const axisMiss = (axis: AxisId, asked: Miss['asked'], got: number): Miss => ({
  wish: `target.${axis}`,
  asked,
  got,
  by: 0.3,
});
function blend(misses: Miss[], notes: Partial<Record<AxisId, number>> = {}, ibu = 30): PointBlend {
  const missed = (axis: AxisId) => misses.find(({ wish }) => wish === `target.${axis}`)?.got;
  const axes = AXES.map((axis) => [axis, { intensity: notes[axis] ?? missed(axis) ?? 0 }]);
  const totals = { ibu, leaf_g_per_l: 4, cost: null };
  return { misses, axes: Object.fromEntries(axes), totals } as unknown as PointBlend;
}
const bitter: Miss = { wish: 'limits.ibu_at_least', asked: 40, got: 31.24, by: 8.76 };

describe('what is asked', () => {
  it.each([
    [{ aim: 3, within: 0.2 }, '3.0 ± 0.2'],
    [{ at_least: 2.6 }, 'at least 2.6'],
    [{ at_least: 2, at_most: 3 }, 'at least 2.0, at most 3.0'],
  ])('%j', (asked, words) => {
    expect(askedWords(axisMiss('citrus', asked, 2), 'metric')).toBe(words);
  });

  it('of a limit has its unit', () => {
    expect(askedWords(bitter, 'metric')).toBe('40\u00a0IBU');
  });
});

describe('wishes a brew misses', () => {
  const citrus = axisMiss('citrus', { at_least: 2.6 }, 2.1);

  it('are told with what is asked and what it gives where nothing comes nearer', () => {
    expect(missedThen(blend([citrus, bitter], {}, 31.24), null, 'metric')).toEqual([
      'Citrus: at least 2.6 asked, 2.1 as brewed',
      'The IBU minimum: 40\u00a0IBU asked, 31.2\u00a0IBU as brewed',
    ]);
  });

  it('are told with what the next batch gives, met or not', () => {
    const after = blend([{ ...bitter, got: 38 }], { citrus: 2.7 }, 38);
    expect(missedThen(blend([citrus, bitter], {}, 31.24), after, 'metric')).toEqual([
      'Citrus: at least 2.6 asked, 2.1 as brewed, 2.7 now',
      'The IBU minimum: 40\u00a0IBU asked, 31.2\u00a0IBU as brewed, 38\u00a0IBU now',
    ]);
    const met = missedThen(blend([bitter], {}, 31.24), blend([], {}, 41), 'metric');
    expect(met).toEqual([
      'The IBU minimum: 40\u00a0IBU asked, 31.2\u00a0IBU as brewed, 41\u00a0IBU now',
    ]);
    const hops: Miss = { wish: 'limits.hops_at_most', asked: 2, got: 3, by: 1 };
    expect(missedThen(blend([hops]), blend([]), 'metric')).toEqual([
      'The number of hops: 2 asked, 3 as brewed, met now',
    ]);
  });

  it('name a wish that only the change misses', () => {
    const pine = axisMiss('resin', { at_most: 1.5 }, 1.8);
    const before = blend([citrus], { resin: 1.2 });
    const after = blend([pine], { citrus: 2.7, resin: 1.8 });
    expect(missedThen(before, after, 'metric')).toEqual([
      'Citrus: at least 2.6 asked, 2.1 as brewed, 2.7 now',
      'Resin: at most 1.5 asked, 1.2 as brewed, 1.8 now',
    ]);
  });

  it('show a miss that is smaller than one decimal', () => {
    const close = { ...axisMiss('citrus', { at_least: 2.6 }, 2.574), by: 0.026 };
    expect(missedThen(blend([close]), null, 'metric')).toEqual([
      'Citrus: at least 2.6 asked, 2.57 as brewed',
    ]);
  });
});
