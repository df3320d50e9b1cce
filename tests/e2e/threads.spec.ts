// The search's threads die in every way a browser lets them: the page notices, revives them, and
// where they cannot run says so with what to do.
import type { Page } from '@playwright/test';
import { expect, test } from './support/journey.ts';

/** Sends the page an edit whose answer takes the search's thread. */
async function wish(page: Page): Promise<void> {
  await page.getByRole('slider', { name: 'Tropical', exact: true }).press('PageDown');
}

/** Waits until the page stands in line for what every thread holds while it lives: then it hears their end. */
async function areWatched(page: Page): Promise<void> {
  await expect
    .poll(async () => {
      const watched = await page.evaluate(async () => {
        const { held, pending } = await navigator.locks.query();
        const awaited = new Set(pending!.map(({ name }) => name));
        return held!.filter(({ name }) => awaited.has(name)).length;
      });
      return page.workers().length - watched;
    })
    .toBe(0);
}

test('threads killed at rest or at work are replaced, and the answer comes', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  const first = await workbench.settledBlend();
  // The first sign of a person starts a thread.
  const started = page.waitForEvent('worker');
  await page.mouse.move(5, 5);
  await started;
  await areWatched(page);
  const atRest = page.workers();
  expect(atRest.length).toBeGreaterThan(0);
  // Ended from inside, a worker raises no event.
  await Promise.all(
    atRest.map(async (thread) => {
      const gone = thread.waitForEvent('close');
      await thread.evaluate(() => self.close());
      await gone;
    }),
  );
  await wish(page);
  const second = await workbench.blendAfter(first);
  await areWatched(page);

  const atWork = page.workers();
  const gone = atWork.map((thread) => thread.waitForEvent('close'));
  await Promise.all(
    atWork.map((thread) => thread.evaluate(() => (self.onmessage = () => self.close()))),
  );
  await wish(page);
  await Promise.any(gone);
  await workbench.blendAfter(second);
});

test('a thread whose script never comes is given up after a while, and comes back', async ({
  page,
  workbench,
}) => {
  await page.clock.install();
  let held = true;
  await page.route(/\/worker-[\w-]+\.js/, (route) => (held ? undefined : route.continue()));
  await workbench.open();
  await page.clock.runFor(1000);
  // What is shown can be brewed; while a changed wish has no blend, nothing can.
  const brew = page.getByRole('link', { name: 'Brew this' });
  await expect(brew).toBeVisible();
  await wish(page);
  await expect(workbench.search).toHaveText(/^Searching/);
  await expect(page.getByRole('button', { name: 'Brew this' })).toBeDisabled();
  const trouble = workbench.answer.getByRole('alert');
  await page.clock.runFor(31_000);
  await expect(trouble).toHaveCount(0);
  // A new thread begins a moment after the one before is given up.
  await expect(async () => {
    await page.clock.runFor(31_000);
    const said = 'The search failed: it did not load within 30 s.';
    await expect(trouble).toContainText(said, { timeout: 1000 });
  }).toPass();
  await expect(trouble).toContainText('reload the page');
  held = false;
  await trouble.getByRole('button', { name: 'Search again' }).click();
  await workbench.settledBlend();
  await expect(trouble).toHaveCount(0);
  await expect(brew).toBeVisible();
});
