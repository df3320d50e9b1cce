// Which known names are suggested for an unknown one.
import { expect, it } from 'vitest';
import { either, nearestName, nearestNames } from '#shared/names.ts';

const KNOWN = ['Saaz', 'Hallertau Blanc', 'Hallertau Tradition', 'Mosaic', 'East Kent Golding'];

it.each([
  ['Sazz', ['Saaz']],
  ['Mosiac', ['Mosaic']],
  ['hallertau', ['Hallertau Blanc', 'Hallertau Tradition']],
  ['Golding', ['East Kent Golding']],
  ['Mosaic T90', ['Mosaic']],
  ['House seedling', []],
  ['m'.repeat(300), []],
  ['Hallertauer Blank', ['Hallertau Blanc']],
  ['x', []],
])('%s may mean %j', (given, near) => {
  expect(nearestNames(given, KNOWN)).toEqual(near);
  expect(nearestName(given, KNOWN)).toBe(near[0]);
});

it('at most three are suggested, the closest first', () => {
  expect(nearestNames('Saat', ['Saazer', 'Saab', 'Saal', 'Saat2', 'Saar'])).toEqual([
    'Saat2',
    'Saab',
    'Saal',
  ]);
});

it('names stand side by side as a choice', () => {
  expect([[], ['a'], ['a', 'b'], ['a', 'b', 'c']].map(either)).toEqual([
    '',
    'a',
    'a or b',
    'a, b or c',
  ]);
});
