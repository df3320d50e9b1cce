// The content policy of the pages: a breach fails whatever journey meets it. What the policy says is held of
// the built site.
import { expect, test } from './support/journey.ts';

test('a breach of the policy is heard', async ({ page, breaches }) => {
  await page.goto('./stock/');
  // Later, so that it is the page that does it: what a test evaluates is above the policy.
  await page.evaluate(() => {
    setTimeout(() => {
      try {
        new Function('');
      } catch {
        // Forbidden, as it is meant to be.
      }
    });
  });
  await expect.poll(() => breaches).toEqual([expect.stringContaining('script-src eval')]);
  breaches.length = 0;
});
