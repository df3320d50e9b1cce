// Geraniol on yeast: the closed form against steps integrated one by one, and its limits.
import { describe, expect, it } from 'vitest';
import { geraniolOnYeast, values } from '../support/numbers.ts';

/** Hours that are so many fermentations after the part met, at the rate of 20 C. */
const hoursFor = (fermentation: number, after: number) =>
  24 * values['ferment.days'] * (fermentation + after / values['ferment.maturation_rate']);
const on = (fermentation: number, after: number) =>
  geraniolOnYeast(
    { hours: hoursFor(fermentation, after), tempC: 20 },
    { 'dry_hop.fermentation_left': fermentation },
  );

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
    const { left, citronellol } = on(f, after);
    const by = stepped(f, after);
    expect(left).toBeCloseTo(by.geraniol, 4);
    expect(citronellol).toBeCloseTo(by.citronellol, 4);
  });

  it('is untouched at no time, and turns whole into citronellol in the long run', () => {
    expect(on(0, 0)).toEqual({ left: 1, citronellol: 0 });
    expect(on(0, 1000).citronellol).toBeCloseTo(1, 6);
  });

  // 120 h are 5 days: half of 7 days of fermentation, then 1.5 days, at 10 C half as fast as at 20 C.
  it('counts the hours beyond the fermentation, slower in the cold', () => {
    const half = { 'dry_hop.fermentation_left': 0.5 };
    const at = (hours: number, tempC: number) => geraniolOnYeast({ hours, tempC }, half).left;
    const left = (after: number) => 0.25 ** (0.5 + 0.2 * after);
    expect(at(120, 20)).toBeCloseTo(left(1.5 / 7), 12);
    expect(at(120, 10)).toBeCloseTo(left(1.5 / 14), 12);
    expect(at(60, 20)).toBeCloseTo(left(0), 12);
  });
});
