// Sixteen thousand drawn hostile texts through every entrance, the same each time; `npm run fuzz` takes as many
// as wanted.
import { expect, it } from 'vitest';
import { KINDS, runCase, type Kind } from './readers.ts';

/** Recipes are read eight times each, in both standards and back; own tables make a model each, shared maps devices. */
const COUNTS: Readonly<Partial<Record<Kind, number>>> = {
  beerjson: 2500,
  beerxml: 2500,
  own: 1000,
  freezer: 50,
};
const CASES = KINDS.map((kind) => [kind, COUNTS[kind] ?? 2000] as const);

it.each(CASES)('%s: %i drawn texts are read or refused with a cure', async (kind, cases) => {
  let taken = 0;
  for (let number = 0; number < cases; number += 1) {
    if ((await runCase(kind, 1, number)).taken) taken += 1;
  }
  // Texts that are all refused, or all taken, would try one side only.
  expect(taken).toBeGreaterThan(cases / 20);
  expect(taken).toBeLessThan(cases * 0.95);
});
