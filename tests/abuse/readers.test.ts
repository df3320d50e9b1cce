// Twenty thousand drawn hostile texts through every entrance; `npm run fuzz` takes as many as wanted.
import { expect, it } from 'vitest';
import { KINDS, runCase } from './readers.ts';

const CASES = 4000;

it.each(KINDS)('%s: 4,000 drawn texts are read or refused with a cure', async (kind) => {
  let taken = 0;
  for (let number = 0; number < CASES; number += 1) {
    if ((await runCase(kind, 1, number)).taken) taken += 1;
  }
  // Texts that are all refused, or all taken, would try one side only.
  expect(taken).toBeGreaterThan(CASES / 20);
  expect(taken).toBeLessThan(CASES * 0.95);
});
