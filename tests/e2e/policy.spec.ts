// The content policy of the pages: no page breaks it, whatever is opened on it, and it would be heard
// if one did.
import { PLACES } from '#ui/shell/places.ts';
import { expect, test } from './support/journey.ts';

const WANTED = [
  "default-src 'self'",
  "form-action 'self'",
  "style-src-attr 'unsafe-inline'",
  "worker-src 'self'",
  "base-uri 'none'",
  "object-src 'none'",
];

test('every page keeps the policy', async ({ page, breaches }) => {
  for (const path of [...PLACES.map((place) => place.path), '/hops/citra/']) {
    await page.goto(`.${path}`, { waitUntil: 'networkidle' });
    const policy = await page
      .locator('meta[http-equiv="content-security-policy"]')
      .getAttribute('content');
    const directives = policy!.split(';').map((directive) => directive.trim());
    expect(directives).toEqual(expect.arrayContaining(WANTED));
    expect(directives.find((d) => d.startsWith('style-src '))).not.toContain('unsafe-inline');
    expect(policy).not.toContain('blob:');
    expect([path, ...breaches]).toEqual([path]);
  }
});

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
