// Geraniol on yeast: the closed form against steps integrated one by one, and its limits.
import { describe, expect, it } from 'vitest';
import { dryHopOnYeast, geraniolOnYeast } from '#engine/geraniol.ts';
import { defaultValues, model } from '#engine/model.ts';

const values = defaultValues(model);
/** Citronellol over geraniol by mass: 156.27 over 154.25. */
const MASS = 156.27 / 154.25;

/** Euler's rule: losses while it ferments and reduction throughout, per length of a fermentation. */
function stepped(fermentation: number, after: number) {
  const all = -Math.log(0.25);
  const step = 1e-5;
  let [geraniol, citronellol] = [1, 0];
  for (let t = 0; t < fermentation + after; t += step) {
    const reduced = geraniol * all * 0.2 * step;
    geraniol -= t < fermentation ? geraniol * all * step : reduced;
    citronellol += reduced;
  }
  return { geraniol, citronellol };
}

describe('geraniol on yeast', () => {
  it.each([
    [1, 0],
    [0.5, 0],
    [0.5, 1],
    [0, 2],
  ])('is what its two losses give step by step, fermentation %d and after it %d', (f, after) => {
    const { left, citronellol } = geraniolOnYeast(model, { fermentation: f, after }, values);
    const by = stepped(f, after);
    expect(left).toBeCloseTo(by.geraniol, 4);
    expect(citronellol / MASS).toBeCloseTo(by.citronellol, 4);
  });

  it('is untouched at no time, and turns whole into citronellol in the long run', () => {
    const none = geraniolOnYeast(model, { fermentation: 0, after: 0 }, values);
    expect(none).toEqual({ left: 1, citronellol: 0 });
    const long = geraniolOnYeast(model, { fermentation: 0, after: 1000 }, values);
    expect(long.citronellol).toBeCloseTo(MASS, 6);
  });

  // 120 h are 5 days: half of 7 days of fermentation, then 1.5 days, at 10 C half as fast as at 20 C.
  it('counts the hours beyond the fermentation, slower in the cold', () => {
    const on = (hours: number, temp_c: number) => dryHopOnYeast({ hours, temp_c }, values);
    expect(on(120, 20)).toEqual({ fermentation: 0.5, after: expect.closeTo(1.5 / 7, 12) });
    expect(on(120, 10).after).toBeCloseTo(1.5 / 14, 12);
    expect(on(60, 20).after).toBe(0);
  });
});
