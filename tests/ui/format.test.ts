// Figures as people read and write them.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decimalsAlike } from '#shared/interval.ts';
import * as format from '#wording/format.ts';
import type { UnitSystem } from '#shared/units.ts';
import { readNumber } from '#wording/number-text.ts';
import { inWords } from '#wording/words.ts';

describe('figures shown', () => {
  it('keep about three significant digits', () => {
    expect([1420, 142.4, 14.24, 1.424, 0.1424, 0].map(format.significant)).toEqual([
      '1,420',
      '142',
      '14.2',
      '1.42',
      '0.142',
      '0',
    ]);
  });

  it('never show a gap as none, nor minus zero', () => {
    expect(format.percent(0.0001)).toBe('less than 0.1\u00a0%');
    expect(format.percent(0)).toBe('0\u00a0%');
    expect(format.decimals(-0.001, 1)).toBe('0');
    expect(format.decimals(-3.2, 1)).toBe('−3.2');
  });

  it('are what the browser writes of them in English', () => {
    const intl = (value: number, least: number, most: number) =>
      new Intl.NumberFormat('en', { minimumFractionDigits: least, maximumFractionDigits: most })
        .format(value)
        .replace(/^-(0(?:\.0*)?)$/, '$1')
        .replace('-', '−');
    const halves = fc
      .tuple(fc.integer({ min: -2_000_001, max: 2_000_001 }), fc.integer({ min: 0, max: 7 }))
      .map(([steps, places]) => Number(`${steps}5e-${places}`));
    const sizes = fc.double({ min: -1e9, max: 1e9, noNaN: true });
    const small = fc.double({ min: -1e-4, max: 1e-4, noNaN: true });
    const values = fc.oneof(halves, sizes, small);
    fc.assert(
      fc.property(values, fc.integer({ min: 0, max: 6 }), (value, places) => {
        expect(format.decimals(value, places)).toBe(intl(value, 0, places));
        const alike = decimalsAlike([value]);
        expect(format.alike(value)(value)).toBe(intl(value, alike, alike));
      }),
      { numRuns: 5000 },
    );
    expect(format.decimals(1.005, 2)).toBe('1.01');
  });

  it('are told as they are where they are past exact rounding, or none', () => {
    expect(format.significant(2 ** 53 - 1)).toBe('9,007,199,254,740,991');
    expect(format.significant(2 ** 53)).toBe('9007199254740992');
    expect(format.decimals(1e13, 3)).toBe('10000000000000');
    expect([1e21, -1e300, NaN, -Infinity].map(format.significant)).toEqual([
      ...['1e+21', '-1e+300', 'NaN', '-Infinity'],
    ]);
  });

  it('take the larger unit for large weights', () => {
    expect(format.hopMass(1999, 'metric')).toBe('1,999\u00a0g');
    expect(format.hopMass(2000, 'metric')).toBe('2\u00a0kg');
    expect(format.hopMass(12_350, 'metric')).toBe('12.35\u00a0kg');
    expect(format.hopMass(453.59237 * 12, 'us')).toBe('12\u00a0lb');
    expect(format.quantity(3.785411784 * 31 * 10, 'volume', 'us')).toBe('10\u00a0bbl');
    expect(format.quantity(20, 'volume', 'us')).toBe('5.28\u00a0gal');
  });

  it('keep one unit in a column of weights, the larger one only where all are a lot', () => {
    const column = (all: readonly number[], units: UnitSystem) =>
      all.map((grams) => format.plainSpaces(format.hopMasses(all, units)(grams)));
    expect(column([5000, 85, 1800], 'metric')).toEqual(['5,000 g', '85 g', '1,800 g']);
    expect(column([5000, 2000, 0], 'metric')).toEqual(['5 kg', '2 kg', '0 kg']);
    expect(column([0, 0], 'metric')).toEqual(['0 g', '0 g']);
    expect(column([], 'metric')).toEqual([]);
    expect(column([4535.9237, 28.349523125], 'us')).toEqual(['160 oz', '1 oz']);
    expect(column([4535.9237, 907.18474], 'us')).toEqual(['10 lb', '2 lb']);
  });

  it('tell ounces as a scale shows them', () => {
    expect(format.hopMass(23, 'us')).toBe('0.81\u00a0oz');
    expect(format.hopMass(142, 'us')).toBe('5\u00a0oz');
    expect(format.hopMass(150, 'us')).toBe('5.3\u00a0oz');
  });

  it('part thousands of money and keep two decimals', () => {
    expect([3.5, 1234.567, 1e6].map(format.money)).toEqual(['3.50', '1,234.57', '1,000,000.00']);
    // As it reads, like every other figure, and with a true minus.
    expect([1.005, -3.5, -0.001].map(format.money)).toEqual(['1.01', '−3.50', '0.00']);
  });

  it('say a band once where both ends read the same', () => {
    expect(format.band({ low: 0.001, high: 0.002 }, format.timesThreshold)).toBe('< 0.01');
    expect(format.band({ low: 1, high: 2 }, format.intensity)).toBe('1.0 to 2.0');
  });

  it('write a figure and its range alike, to two digits of the largest', () => {
    const shown = (value: number, low: number, high: number) =>
      [value, low, high].map(format.alike(value, low, high));
    expect(shown(0.63, 0.504, 0.788)).toEqual(['0.63', '0.50', '0.79']);
    expect(shown(9, 5.18, 12.7)).toEqual(['9', '5', '13']);
    expect(shown(142.3, 118.2, 170)).toEqual(['142', '118', '170']);
    expect(shown(0, 0, 0)).toEqual(['0', '0', '0']);
    expect(shown(2.04, 1.5, 3)).toEqual(['2.0', '1.5', '3.0']);
  });

  it('list with commas and an and', () => {
    expect([[], ['a'], ['a', 'b'], ['a', 'b', 'c']].map(format.listed)).toEqual([
      '',
      'a',
      'a and b',
      'a, b and c',
    ]);
  });
});

describe('figures typed', () => {
  const range = { min: 0, max: 2000, above: false, whole: false };
  const read = (text: string, within = range) => readNumber(text, within, 'g');

  it.each([
    ['12', 12],
    [' 12.5 ', 12.5],
    ['12,5', 12.5],
    ['.5', 0.5],
    ['1 200', 1200],
  ])('%j reads as %d', (text, value) => {
    expect(read(text)).toEqual({ ok: true, value });
  });

  it.each(['', 'abc', '1e3', '12 g', '1.2.3', '-1', '2001', 'Infinity'])(
    '%j is refused',
    (text) => {
      expect(read(text)).toEqual({ ok: false, sentence: 'A number from 0 to 2,000 g.' });
    },
  );

  it('asks back where a comma could mean either', () => {
    expect(read('1,200')).toEqual({ ok: false, sentence: 'Write 1200, or 1.200 with a point.' });
  });

  it('says what may stand there', () => {
    const positive = { min: 0, max: 50, above: true, whole: true };
    expect(readNumber('2.5', positive, '')).toEqual({
      ok: false,
      sentence: 'A whole number above 0 and up to 50.',
    });
  });
});

describe('messages', () => {
  it('have their paths and ids put into words', () => {
    expect(inWords('ibu_at_least lies above ibu_at_most')).toBe(
      'The IBU minimum lies above the IBU maximum',
    );
    expect(inWords('misses target.stone_fruit, target.citrus')).toBe('Misses stone fruit, citrus');
    expect(inWords('hops go into dry_hop')).toBe('Hops go into dry hop');
  });
});
