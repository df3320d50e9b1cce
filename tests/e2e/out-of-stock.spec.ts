// A hop of the blend is out of stock: replacements side by side, one taken, and the way back.
import { readdirSync, readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Page } from '@playwright/test';
import { BUILD_FOLDER } from '../../src/serve/server.ts';
import { expect, test } from './support/journey.ts';
import { expectNoFault } from './support/looks.ts';
import { expectSourced } from './support/sourced.ts';

const SCRIPTS = new URL('_app/immutable/', pathToFileURL(BUILD_FOLDER));

/** Holds back the scripts that have such words, until what this gives is called. */
async function holdScriptsWith(page: Page, words: string): Promise<() => void> {
  let release = () => {};
  const released = new Promise<void>((done) => (release = done));
  const files = readdirSync(SCRIPTS, { recursive: true, encoding: 'utf8' });
  const held = files.filter(
    (file) => file.endsWith('.js') && readFileSync(new URL(file, SCRIPTS), 'utf8').includes(words),
  );
  expect(held.length).toBeGreaterThan(0);
  for (const file of held)
    await page.route(`**/${basename(file)}`, async (route) => {
      await released;
      await route.continue();
    });
  return release;
}

test('a hop is replaced by one of several others and brought back', async ({ page, workbench }) => {
  await workbench.open();
  await workbench.designs.selectOption('What six remainders can do');
  await expect(workbench.headline).toHaveText(/^Cheapest blend/);
  const before = await workbench.settledBlend();
  expect(before).toContain('Cascade');
  await page.getByRole('button', { name: 'Out of stock: Cascade' }).first().click();

  const panel = page.getByRole('region', { name: 'In place of Cascade' });
  await expect(panel.getByRole('heading', { name: 'In place of Cascade' })).toBeFocused();
  const choices = panel.getByRole('article');
  await expect.poll(() => choices.count()).toBeGreaterThan(1);
  for (const text of await choices.allInnerTexts()) {
    expect(text).not.toContain('Cascade');
    expect(text).toMatch(/Hops.*Cost.*IBU/s);
  }
  // The name of two hops has the whole width of its card.
  const card = (await choices.first().boundingBox())!;
  const name = (await choices.first().getByRole('heading').boundingBox())!;
  expect(name.width).toBeGreaterThan(0.8 * card.width);
  await expectNoFault(page, panel);
  await expectSourced(page);

  await choices
    .first()
    .getByRole('button', { name: /^Take / })
    .press('Enter');
  await expect(workbench.headline).toHaveText(/^Your blend: /);
  await expect(workbench.undo).toHaveAttribute('title', /Cascade replaced by /);
  await expect(choices.first().getByRole('button', { pressed: true })).toHaveText('Taken');
  await expect.poll(() => workbench.settledBlend()).not.toContain('Cascade');

  await page.getByRole('button', { name: 'Back to the proven blend' }).click();
  // The same to the gram, struck through.
  const weighed = (text: string) => text.match(/^.*\d+\sg$/gm);
  await expect.poll(async () => weighed(await workbench.settledBlend())).toEqual(weighed(before));
  await expect(workbench.answer.locator('s', { hasText: 'Cascade' })).toBeVisible();
  await workbench.unfold('Candidates');
  await expect(workbench.brief.locator('s', { hasText: 'Cascade' })).toHaveCount(1);
  await panel.getByRole('button', { name: 'Close replacements' }).click();
  await expect(panel).toHaveCount(0);
});

test('a hop out of stock is in no design, whatever its hops come from, until it is back', async ({
  page,
  workbench,
}) => {
  const panelMayCome = await holdScriptsWith(page, 'In place of');
  await workbench.open();
  await workbench.settledBlend();
  const out = page.getByRole('button', { name: /^Out of stock: / }).first();
  const hop = (await out.getAttribute('aria-label'))!.replace('Out of stock: ', '');
  await out.click();
  // What is shown stays in sight, struck through.
  await expect(page.locator('s', { hasText: hop })).toBeVisible();
  await expect(page.getByRole('button', { name: `Back in stock: ${hop}` })).toBeVisible();

  // A panel that comes late leaves the hand where it is by then.
  const citrus = workbench.handle('Citrus');
  await citrus.focus();
  const panel = page.getByRole('region', { name: `In place of ${hop}` });
  await expect(panel).toHaveCount(0);
  panelMayCome();
  await expect(panel).toBeVisible();
  await expect(citrus).toBeFocused();

  // The next search takes from the whole table, and does without it; the one after a reload too.
  await page.keyboard.press('ArrowUp');
  await expect.poll(() => workbench.settledBlend()).not.toContain(hop);
  await workbench.reload();
  // The page begins with the demo's blend until what is kept has been read.
  await expect.poll(() => workbench.settledBlend()).not.toContain(hop);

  await page.getByRole('link', { name: 'Hops', exact: true }).first().click();
  await expect(page.getByRole('button', { name: `Back in stock: ${hop}` })).toBeVisible();
  await page.getByRole('link', { name: 'Stock', exact: true }).first().click();
  // Lots are counted once they have taken the place of the hops.
  await expect(page.getByRole('heading', { level: 2, name: 'Stock' })).toBeVisible();
  const back = page.getByRole('button', { name: new RegExp(`^Back in stock: .*${hop}`) });
  for (let left = await back.count(); left > 0; left -= 1) {
    await back.first().click();
    await expect(back).toHaveCount(left - 1);
  }
});

test('replacements come from the stock first, and from the whole table while that is asked for', async ({
  page,
  workbench,
}) => {
  test.slow();
  await workbench.open();
  await workbench.settledBlend();
  const out = page.getByRole('button', { name: /^Out of stock: / });
  await out.first().click();
  const panel = page.getByRole('region', { name: /^In place of / });
  const from = (source: string) => panel.getByRole('radio', { name: `from ${source}` });
  await expect(from('my stock')).toBeChecked();
  await expect(panel.getByRole('article').first()).toBeVisible();
  // What the stock has was paid for: each card knows its cost. No hop comes in two forms.
  for (const card of await panel.getByRole('article').all()) {
    await expect(card).not.toContainText('not known');
    const lines = await card.getByRole('listitem').allInnerTexts();
    expect(lines.length).toBeLessThanOrEqual(2);
    const hops = lines.map((line) => line.split(',')[0]);
    const stages = lines.map((line) => line.split(',').at(-1)!.replace(/\d.*/s, ''));
    expect(new Set(hops.map((hop, i) => `${hop}${stages[i]}`)).size).toBe(lines.length);
  }
  await from('the whole table').check();
  await expect(panel.getByRole('article').first()).toBeVisible();
  // A hop without a price is named with the place to type it.
  const unpriced = panel.getByRole('article').filter({ hasText: 'not known' }).first();
  await expect(unpriced).toContainText(/no price for /);
  await expect(unpriced.getByRole('textbox', { name: /^Price of / }).first()).toBeVisible();
  // Another hop while the panel is open: the table still; closed and asked again: the stock.
  await out.first().click();
  await expect(from('the whole table')).toBeChecked();
  await panel.getByRole('button', { name: 'Close replacements' }).click();
  await page
    .getByRole('button', { name: /^Replace: / })
    .first()
    .click();
  await expect(from('my stock')).toBeChecked();
});
