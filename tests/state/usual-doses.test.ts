// What is kept of somebody's own usual doses, and what of it cannot be.
import { expect, it } from 'vitest';
import { readUsualDoses } from '#state/workspace/usual-doses.svelte.ts';

it.each([
  [null, null, {}],
  ['no JSON', null, {}],
  [
    '{"kind":"stout","own":{"pale":{"from":3,"to":1},"hazy":{"from":5,"to":9}}}',
    null,
    { hazy: { from: 5, to: 9 } },
  ],
  ['{"kind":"pale","own":{"pale":"much"}}', 'pale', {}],
])('own usual doses kept as %s are read as far as they can be', (text, kind, own) => {
  expect(readUsualDoses(text)).toEqual({ kind, own });
});
