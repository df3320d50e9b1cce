// What a screen reader is told: the result of a search once, where a dialog begins, figures of sliders that
// agree with their words.
import type { Page } from '@playwright/test';
import { faultsOfBoxes } from './support/boxes.ts';
import { expect, softly, test } from './support/journey.ts';

/** Writes down from now on what live regions say; what is in one that is switched off is not said. */
async function listen(page: Page): Promise<() => Promise<string[]>> {
  await page.evaluate(() => {
    const heard: string[] = [];
    (window as unknown as { heard: string[] }).heard = heard;
    const LIVE = '[aria-live], [role="status"], [role="alert"]';
    new MutationObserver((changes) => {
      for (const { target } of changes) {
        const element = target instanceof Element ? target : target.parentElement;
        const region = element?.closest(LIVE);
        if (!region || region.getAttribute('aria-live') === 'off') continue;
        const text = region.textContent.trim().replace(/\s+/g, ' ');
        if (text !== '' && heard.at(-1) !== text) heard.push(text);
      }
    }).observe(document.body, { subtree: true, childList: true, characterData: true });
  });
  return () => page.evaluate(() => (window as unknown as { heard: string[] }).heard);
}

/** Holds that the figures of all sliders lie in their range and agree with their words. */
async function expectSlidersAgree(page: Page): Promise<void> {
  const sliders = await page.getByRole('slider').evaluateAll((all) =>
    all.map((slider) => {
      const of = (name: string) => slider.getAttribute(`aria-${name}`);
      const [min, max, now] = [of('valuemin'), of('valuemax'), of('valuenow')].map(Number);
      return { name: of('label'), words: of('valuetext')!, min: min!, max: max!, now: now! };
    }),
  );
  expect(sliders.length).toBeGreaterThanOrEqual(10);
  for (const { name, words, min, max, now } of sliders) {
    expect(now, `${name}: ${words}`).toBeGreaterThanOrEqual(min);
    expect(now, `${name}: ${words}`).toBeLessThanOrEqual(max);
    if (words.startsWith('free')) continue;
    const [figure] = /\d[\d,]*(\.\d+)?/.exec(words)!;
    const announced = Number(figure.replaceAll(',', ''));
    const digits = figure.split('.')[1]?.length ?? 0;
    expect(Math.abs(announced - now), `${name}: ${words}, ${now}`).toBeLessThanOrEqual(
      0.51 * 10 ** -digits,
    );
  }
}

test('sliders agree with their words; the end of a search is reported once, with its result', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  const before = await workbench.settledBlend();
  await expectSlidersAgree(page);
  const heard = await listen(page);
  const handle = workbench.handle('Citrus');
  await handle.focus();
  for (let i = 0; i < 4; i += 1) await page.keyboard.press('ArrowUp');
  await workbench.blendAfter(before);
  const headline = (await workbench.headline.innerText()).trim().replaceAll(/\s+/g, ' ');
  await expect.poll(async () => (await heard()).at(-1)).toContain(headline);
  // Steps that come while a search is on its way are one search more, not one message each.
  expect((await heard()).length).toBeLessThanOrEqual(4);
  expect((await heard()).filter((said) => /Search|best so far|Found in/.test(said))).toEqual([]);
});

test('a dialog begins at what it asks first, or at its title where that is no field in sight', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  const dialog = page.getByRole('dialog');
  const begins = async (open: () => Promise<void>, at: 'field' | 'title') => {
    await open();
    await expect(dialog).toBeVisible();
    const focused = () =>
      dialog.evaluate((d) => {
        const fields = [
          ...d.querySelectorAll('input:not([type=radio]), input:checked, select, textarea'),
        ];
        const first = fields.find((f) => f.matches(':enabled') && f.checkVisibility());
        const { activeElement } = document;
        if (first && activeElement === first) {
          const { bottom } = first.getBoundingClientRect();
          return bottom <= d.getBoundingClientRect().bottom ? 'field' : 'a field out of sight';
        }
        return activeElement === d.querySelector('h2') ? 'title' : activeElement?.outerHTML;
      });
    await expect.poll(focused).toBe(at);
    const scrolled = () => dialog.evaluate((d) => d.scrollTop);
    await expect.poll(scrolled, { message: 'its head is in sight' }).toBe(0);
    // Whatever the screen, nothing of it overlaps, is cut off or runs out of it.
    for (const width of [320, 768, 1280]) {
      await page.setViewportSize({ width, height: 844 });
      await softly.poll(() => faultsOfBoxes(page, 'dialog'), `${width} px`).toEqual([]);
    }
    await page.keyboard.press('Escape');
    await expect(dialog).toBeHidden();
  };
  const press = (name: string | RegExp) => () => page.getByRole('button', { name }).first().click();
  await begins(press('More'), 'field');
  // Others are pressed before anything is filled in.
  await begins(press('Files'), 'title');
  await begins(press(/^New/), 'title');
  await begins(press('Share'), 'title');
  await begins(press('Import'), 'field');
  await begins(press(/^Rename|^Name and note/), 'field');
  // A phone that lies on its side, its keys in sight: the field of one is further down than it goes.
  const low = () => page.setViewportSize({ width: 640, height: 240 });
  await low();
  await begins(press('Import'), 'title');
  await low();
  await begins(press(/^Rename|^Name and note/), 'field');
  await page.goto('/stock/');
  await begins(press('Share this freezer'), 'title');
  await begins(press('Import a list'), 'field');
  await begins(press('A hop of your own'), 'field');
  await begins(press(/: analysis and age$/), 'field');
});
