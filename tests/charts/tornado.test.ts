// The tornado chart: bars on one scale about the prediction, widest first, the rest counted aloud.
import { describe, expect, it } from 'vitest';
import type { AxisDoubt, Swing } from '#shared/answers/doubt.ts';
import { tornadoOf } from '#charts/bars/tornado.ts';

const swing = (id: string, by: Swing['settled_by'], at_low: number, at_high: number): Swing => ({
  kind: by === 'lab' ? 'lot' : 'parameter',
  id,
  hop: null,
  form: null,
  settled_by: by,
  at_low,
  at_high,
  share: 0,
});
const doubtWith = (swings: Swing[]): AxisDoubt => ({
  intensity: 3,
  low: 2,
  high: 4,
  swings,
  if_analysed: [],
  if_all_analysed: { low: 2, high: 4 },
  if_science_settled: { low: 2, high: 4 },
});

describe('a tornado', () => {
  it('lays all bars on one scale about the prediction', () => {
    const layout = tornadoOf(doubtWith([swing('a', 'science', 4, 2), swing('b', 'lab', 2.5, 3.5)]));
    expect(layout.centre).toBe(0.5);
    expect(layout.science.bars[0]).toMatchObject({ from: 0, to: 1, falls: true });
    expect(layout.lab.bars[0]).toMatchObject({ from: 0.25, to: 0.75, falls: false });
  });

  it('draws from the prediction where both ends lie on one side of it', () => {
    const { lab } = tornadoOf(doubtWith([swing('a', 'lab', 3.5, 4)]));
    expect(lab.bars[0]).toMatchObject({ from: 0, to: 1 });
  });

  it('counts what it does not draw, with the most any of it does', () => {
    const many = Array.from({ length: 9 }, (_, i) => swing(`s${i}`, 'science', 2 + i / 20, 4));
    const tiny = swing('t', 'lab', 2.999, 3.001);
    const { science, lab } = tornadoOf(doubtWith([...many, tiny]));
    expect(science.bars).toHaveLength(7);
    expect(science.others).toBe(2);
    expect(science.others_at_most).toBeCloseTo(1.65, 10);
    expect(lab).toMatchObject({ bars: [], others: 1 });
  });

  it('stands where nothing moves', () => {
    const layout = tornadoOf(doubtWith([]));
    expect(layout.lab.bars).toEqual([]);
    expect(layout.science.others).toBe(0);
  });
});
