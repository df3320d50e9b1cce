// Five kills of the page at drawn moments while it is edited: its tab, its renderer, the browser. No
// workspace is broken, and no edit is lost that is a second older than one a plain write kept: on a busy machine
// both are late. In the first two the search is at work, in the others the page alone: what is kept does not depend on
// it. `npm run kills` does a thousand, by the clock.
import { expect, test } from '@playwright/test';
import { Killing, KILLS } from '../abuse/killing.ts';

const ROUNDS = 5;
const SEARCHING = 2;

test('no kill breaks the workspace or costs more than the last second', async ({ baseURL }) => {
  test.setTimeout(600_000);
  const killing = new Killing(baseURL!, 10);
  let made = 0;
  try {
    for (let i = 0; i < ROUNDS; i += 1) {
      if (i === SEARCHING) await killing.wishNothing();
      // A browser takes long to start: it is killed once, last; tabs and renderers in turn.
      const how = i === ROUNDS - 1 ? 'browser' : KILLS[i % 2]!;
      const round = await killing.kill(how);
      made += round.made;
      expect(round.broken, `${i}: ${how}`).toBeNull();
      expect(round.behindPlainMs, `${i}: ${how}`).toBeLessThanOrEqual(1000);
    }
    // The second leaves a page that took back what the first had left to it.
    for (const how of ['link', 'reload'] as const)
      expect(await killing.leave(how)).toMatchObject({ lost: 0, broken: null });
  } finally {
    await killing.end();
  }
  expect(made).toBeGreaterThan(ROUNDS);
});
