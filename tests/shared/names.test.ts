// Which known names are suggested for an unknown one.
import fc from 'fast-check';
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

it('finds a name by a third of its letters changed, added or taken away', () => {
  const letters = 'abcdefghijklmnopqrstuvwxyz';
  const letter = fc.constantFrom(...letters);
  const word = fc.string({ unit: letter, minLength: 6, maxLength: 18 });
  const edit = fc.record({
    at: fc.nat(17),
    letter,
    kind: fc.constantFrom('change', 'add', 'take'),
  });
  const law = fc.property(word, fc.array(edit, { minLength: 1, maxLength: 6 }), (name, edits) => {
    const written = edits.slice(0, Math.floor(name.length / 3)).reduce((now, one) => {
      const at = one.at % now.length;
      const added = one.kind === 'take' ? '' : one.letter;
      return now.slice(0, at) + added + now.slice(one.kind === 'add' ? at : at + 1);
    }, name);
    expect(nearestNames(written, [name])).toEqual([name]);
  });
  fc.assert(law, { seed: 11, numRuns: 300 });
});
