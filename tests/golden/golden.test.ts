// The answers of the seed briefs against the ones kept in this folder. A difference is not wrong by
// itself: if it is meant, run `npx tsx tests/golden/refresh.ts` and review the changed figures.
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { answerOf, keptAnswer } from './answers.ts';

const HINT = 'if the change is meant: npx tsx tests/golden/refresh.ts, then review the figures';

describe('answers of the seed briefs', () => {
  it.each(SEED_BRIEFS)('$id', (seed) => {
    expect(answerOf(seed), HINT).toEqual(keptAnswer(seed.id));
  });
});
