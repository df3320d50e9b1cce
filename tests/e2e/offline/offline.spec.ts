// Without a network: after one visit every page opens and a blend is proven with the server gone and the
// browser's own cache off; a new version is offered, and comes only when it is asked for.
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from '@playwright/test';
import { PLACES } from '#ui/shell/places.ts';
import { BUILD_FOLDER, serveSite, type Site } from '../../../src/serve/server.ts';
import { expect, test as base } from '../support/journey.ts';

interface OwnSite extends Site {
  readonly folder: string;
}

/** Each journey has a server of its own, which it can stop, and files of its own, which it can change. */
const test = base.extend<{ site: OwnSite }>({
  site: async ({}, use) => {
    const folder = `${mkdtempSync(join(tmpdir(), 'blendbine-site-'))}/`;
    cpSync(BUILD_FOLDER, folder, { recursive: true });
    // A port nobody else is given: a journey that stops its server must not meet another's there.
    const served = await serveSite(0, folder);
    if (!served.ok) throw new Error(JSON.stringify(served.problems));
    await use({ ...served.value, folder });
    await served.value.close();
    rmSync(folder, { recursive: true });
  },
  baseURL: async ({ site }, use) => use(site.url),
});
test.use({ serviceWorkers: 'allow' });

/** Waits until all that a later visit needs is kept, and served from there. */
const kept = (page: Page) =>
  page.evaluate(async () => {
    const { serviceWorker } = navigator;
    const heard = new Promise((done) => (serviceWorker.oncontrollerchange = done));
    await serviceWorker.ready;
    if (!serviceWorker.controller) await heard;
  });

test('after one visit all of it opens without a network', async ({ page, site, workbench }) => {
  await workbench.open();
  await kept(page);
  await page.goto('./hops/citra/');
  const stores = () =>
    page.evaluate(async () => (await caches.match('/hops/citra/')) !== undefined);
  await expect.poll(stores).toBe(true);

  const session = await page.context().newCDPSession(page);
  await session.send('Network.setCacheDisabled', { cacheDisabled: true });
  await site.close();
  await expect(fetch(site.url)).rejects.toThrow();

  const paths = [...PLACES.slice(1).map((place) => place.path), '/own/', '/own/hop/'];
  for (const path of paths) {
    // Without its closing slash too, as people type it.
    await page.goto(`.${path.slice(0, -1)}`);
    await expect(page).toHaveURL(`${site.url.slice(0, -1)}${path}`);
    await expect(page.getByRole('main').getByRole('heading', { level: 2 }).first()).toBeVisible();
  }
  await page.getByRole('link', { name: 'Hops', exact: true }).click();
  await page.getByRole('main').getByRole('link', { name: 'Citra', exact: true }).first().click();
  await expect(page.getByRole('heading', { name: 'Citra', level: 2 })).toBeVisible();
  await page.reload();
  await expect(page.getByRole('heading', { name: 'What is in it' })).toBeVisible();
  const other = await page.context().newPage();
  await other.goto('./hops/saaz/');
  await expect(other.getByRole('heading', { name: 'Not on this device' })).toBeVisible();
  await other.close();

  await workbench.open();
  const before = await workbench.settledBlend();
  await workbench.unfold('Batch');
  await workbench.field('Beer volume').fill('37');
  await workbench.field('Beer volume').press('Tab');
  await workbench.blendAfter(before);
  await expect(workbench.proof).toHaveText(/^Proven/);

  // At the kettle: the step that was reached is there after a reload.
  await page.getByRole('link', { name: 'Brew', exact: true }).click();
  await page.getByRole('button', { name: 'Start this batch' }).click();
  const brewhouse = page.getByRole('region', { name: 'Brewhouse' });
  await brewhouse.getByRole('button', { name: 'Done' }).click();
  await expect(brewhouse).toContainText('Step 2 of');
  await page.reload();
  await expect(brewhouse).toContainText('Step 2 of');
});

test('a new version waits until it is asked for', async ({ page, site, workbench }) => {
  await workbench.open();
  await kept(page);
  const old = await page.title();
  const change = (path: string, from: string | RegExp, to: string) => {
    const text = readFileSync(site.folder + path, 'utf8');
    const changed = text.replace(from, to);
    expect(changed).not.toBe(text);
    writeFileSync(site.folder + path, changed);
  };
  change('index.html', `<title>${old}</title>`, '<title>The new version</title>');
  change('index.html', 'Draw the aroma', 'Newly draw the aroma');
  for (const path of ['index.html', 'stock/index.html'])
    change(path, /data-version="[^"]*"/, 'data-version="another"');
  change('service-worker.js', /[`'"][0-9a-f]{16}[`'"]/, '"another"');
  const described = () => page.locator('meta[name="description"]').getAttribute('content');

  await workbench.reload();
  const notice = page.getByText('A new version is ready');
  await expect(notice).toBeVisible();
  await workbench.reload();
  await expect(notice).toBeVisible();
  expect(await described()).toMatch(/^Draw/);
  const other = await page.context().newPage();
  await other.goto('./stock/');

  await workbench.unfold('Batch');
  await workbench.field('Beer volume').fill('33');
  await workbench.field('Beer volume').press('Tab');
  await expect(notice).toBeVisible();
  // While the other tab still asks for its parts: a request in the moment of the change would hold it up.
  await other.evaluate(() => {
    const ask = async (left: number): Promise<void> => {
      await (await fetch('./')).text();
      if (left > 0) await ask(left - 1);
    };
    void ask(100);
  });
  await page.getByRole('button', { name: 'Use the new version' }).click();
  await expect.poll(described).toMatch(/^Newly/);
  await workbench.atWork();
  await workbench.unfold('Batch');
  await expect(workbench.field('Beer volume')).toHaveValue('33');
  await expect(notice).toHaveCount(0);

  // The other tab was left alone, still finds its own parts, and follows when it is told to.
  await expect(other.getByText('Another tab uses a new version')).toBeVisible();
  await other.getByRole('button', { name: 'Files' }).click();
  await expect(other.getByRole('dialog', { name: 'Files' })).toBeVisible();
  await other.keyboard.press('Escape');
  await other.getByRole('button', { name: 'Reload' }).click();
  await other.locator('html[data-version=another]').waitFor();
  await other.waitForLoadState('networkidle');
  await expect(other.getByText('Another tab uses a new version')).toHaveCount(0);
});
