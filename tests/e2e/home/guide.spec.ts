// The guide: read on a phone and a desk in lines of at most 75 characters, every link leads somewhere, the cautions
// stand beside the brew day, and no part is cut in two on paper. Where PICTURES is set its pictures are taken anew.
import { existsSync } from 'node:fs';
import type { Locator } from '@playwright/test';
import { expect, test } from '../support/journey.ts';
import { BUILD_FOLDER } from '../../../src/serve/server.ts';

const LINE_MAX = 75;

test('the guide is read on a desk and on a phone, and leads on', async ({ page }) => {
  await page.goto('/guide/');
  await expect(page.getByRole('heading', { name: 'Guide' })).toBeVisible();
  for (const width of [1280, 390]) {
    await page.setViewportSize({ width, height: 900 });
    const longest = await page.locator('main p, main li').evaluateAll((all) =>
      Math.max(
        ...all.map((element) => {
          const range = document.createRange();
          let [most, count, line] = [0, 0, NaN];
          const walker = document.createTreeWalker(element, NodeFilter.SHOW_TEXT);
          for (let node = walker.nextNode(); node; node = walker.nextNode()) {
            for (let i = 0; i < node.textContent!.length; i += 1) {
              range.setStart(node, i);
              range.setEnd(node, i + 1);
              const { top, width: wide } = range.getBoundingClientRect();
              if (wide === 0) continue;
              count = Math.abs(top - line) < 6 ? count + 1 : 1;
              line = Math.abs(top - line) < 6 ? line : top;
              most = Math.max(most, count);
            }
          }
          return most;
        }),
      ),
    );
    expect(longest).toBeLessThanOrEqual(LINE_MAX);
  }
  for (const words of ['foam over', 'scald', 'dogs', 'Carbon dioxide', 'burst']) {
    await expect(page.getByRole('note').filter({ hasText: words }).first()).toBeAttached();
  }
  const links = await page
    .getByRole('main')
    .getByRole('link')
    .evaluateAll((all) => all.map((link) => (link as HTMLAnchorElement).href));
  for (const link of new Set(links)) {
    const { pathname, hash } = new URL(link);
    expect(existsSync(`${BUILD_FOLDER}${pathname}index.html`), link).toBe(true);
    if (pathname === '/guide/') await expect(page.locator(hash)).toBeAttached();
  }
  for (const picture of await page.getByRole('img').all()) {
    await picture.scrollIntoViewIfNeeded();
    await expect
      .poll(() => picture.evaluate((image) => (image as HTMLImageElement).naturalWidth))
      .toBeGreaterThan(600);
  }
  await page.getByRole('link', { name: 'Load' }).click();
  await expect(page.locator('[id="equation/load_law"]')).toBeInViewport();
});

// Written down where PICTURES is set.
test.describe('its pictures', () => {
  test.use({ viewport: { width: 390, height: 844 }, deviceScaleFactor: 2 });

  test('show the demo', async ({ page, workbench }) => {
    /** What stands first in a part of the page, in each scheme. */
    const take = async (name: string, part: Locator) => {
      for (const colorScheme of ['light', 'dark'] as const) {
        await page.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
        await part.evaluate((element) => element.scrollIntoView({ block: 'start' }));
        const { y } = (await part.boundingBox())!;
        const kept = process.env['PICTURES'] && {
          path: `src/static/guide/${name}-${colorScheme}.jpg`,
        };
        const clip = { x: 0, y: y - 8, width: 390, height: 560 };
        await page.screenshot({ ...kept, type: 'jpeg', quality: 60, clip });
      }
    };
    await workbench.open();
    await expect(workbench.proof).toBeVisible();
    await expect(page.getByText(/on its own can go from/)).toBeVisible();
    await expect(page.getByRole('button', { name: 'What would more lots take?' })).toBeVisible();
    await expect(page.getByText('Usual for')).toBeVisible();
    await take('profile', page.getByRole('group', { name: 'Target profile' }));
    await page
      .getByRole('button', { name: /^Out of stock: / })
      .first()
      .click();
    const swaps = page.getByRole('region', { name: /^In place of/ });
    await expect(swaps.getByRole('button', { name: /^Take/ }).first()).toBeVisible();
    await take('swap', swaps);
    await workbench.undo.click();
    await page.goto('/brew/');
    await expect(page.getByText('Heat the strike liquor')).toBeVisible();
    await take('brew', page.getByRole('article', { name: 'Brew sheet' }));
  });
});
