// The hops: found by name, sorted by a figure, opened, read; by pointer and by keyboard, with nothing
// for axe to find on either page.
import type { Locator, Page } from '@playwright/test';
import { expect, holdScripts, test } from './support/journey.ts';
import { analyteName } from '#engine/tables/names.ts';
import { ANALYTES, AXES } from '#shared/ids.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import { expectSoundInEveryLook } from './support/looks.ts';
import { expectSourced } from './support/sourced.ts';

/** Names on the map that touch another name or a dot as drawn, and how many names there are. */
function namesOnMap(page: Page): Promise<{ touching: string[]; names: number }> {
  return page.getByRole('figure', { name: /^Map of/ }).evaluate((map) => {
    const names = [...map.querySelectorAll('a text')];
    const marks = [...names, ...map.querySelectorAll('.dot')];
    const touching = names.flatMap((name) => {
      const a = name.getBoundingClientRect();
      const hit = marks.find((mark) => {
        const b = mark.getBoundingClientRect();
        const apart =
          a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top;
        return mark !== name && !apart;
      });
      return hit ? [name.textContent] : [];
    });
    return { touching, names: names.length };
  });
}

test('a hop is found, sorted, opened, and its neighbours lead on', async ({ page }) => {
  // What is asked for before the scripts have come is found when they have.
  const release = await holdScripts(page);
  await page.goto('/hops/', { waitUntil: 'commit' });
  const table = page.getByRole('region', { name: 'Hop table' });
  await page.getByLabel('Name or origin').fill('mittelfruh');
  await page.getByLabel('Only figures from sources').check();
  await page.getByLabel('Only in my stock').check();
  await page.getByLabel('Only in my stock').uncheck();
  release();
  await expect(table.locator('tbody tr')).toHaveCount(1);
  await expect(page.getByLabel('Only figures from sources')).toBeChecked();
  await expect(page.getByLabel('Only in my stock')).not.toBeChecked();
  await page.getByRole('button', { name: 'show all' }).click();
  await expect(page.getByText(/^121 of 121 varieties/)).toBeVisible();

  await table.getByRole('button', { name: 'alpha acids' }).click();
  const alpha = table.locator('tbody tr td:nth-child(2) span:first-child');
  await expect(async () => {
    const figures = (await alpha.allTextContents()).map(Number).filter((x) => !Number.isNaN(x));
    expect(figures.length).toBeGreaterThan(100);
    expect(figures).toEqual([...figures].sort((a, b) => b - a));
  }).toPass();
  await page.getByLabel('Name or origin').fill('mittelfruh');
  await expect(table.locator('tbody tr')).toHaveCount(1);
  await page.getByLabel('Name or origin').fill('nothing like it');
  await expect(page.getByText('No variety matches')).toBeVisible();
  await page.getByRole('button', { name: 'show all' }).click();
  await expect(table.locator('tbody tr')).toHaveCount(121);

  await page.getByLabel('Name or origin').fill('cascade');
  await table.getByRole('link', { name: 'Cascade' }).focus();
  await page.keyboard.press('Enter');
  await expect(page.getByRole('heading', { name: 'Cascade' })).toBeVisible();
  await expect(page).toHaveTitle(/Cascade/);

  const dry = page.getByRole('article', { name: 'Dry hop' });
  await expect(dry).toContainText('linalool');
  // Beside its name a stage has the stroke of its outline.
  const dashes = (paths: Locator) =>
    paths.evaluateAll((all) => all.map((path) => path.getAttribute('stroke-dasharray')));
  const chart = page.getByRole('region', { name: 'At which stage it gives most' });
  const outlines = chart.getByRole('img').first().locator('path:not([data-ground], .without)');
  expect(await dashes(chart.getByRole('article').locator('path'))).toEqual(await dashes(outlines));
  const before = await page.getByRole('article', { name: 'Mash' }).textContent();
  await page.getByLabel('Standard yeast').check();
  await expect(page.getByRole('article', { name: 'Mash' })).not.toHaveText(before!);

  const start = page.getByRole('button', { name: 'Design like this hop' });
  await start.click();
  const designs = page.getByRole('combobox', { name: 'Design' });
  await expect(designs.locator('option:checked')).toHaveText('Like Cascade');
  await page.goBack();

  const near = page.getByRole('region', { name: 'Most alike in oil' }).getByRole('link').first();
  const name = (await near.textContent())!;
  await near.click();
  await expect(page.getByRole('heading', { name, level: 2 })).toBeVisible();
});

test('hops are ranked by an axis or a compound, searched, and held to the stock', async ({
  page,
}) => {
  await page.goto('/hops/');
  await page.getByRole('radio', { name: 'By hop' }).focus();
  await page.keyboard.press('ArrowRight');
  const ranks = page.getByRole('list', { name: /^Varieties by / });
  const rows = ranks.getByRole('listitem');
  const figures = async () =>
    (await ranks.locator('strong').allTextContents()).map((text) => Number(text.replace(',', '')));
  await expect.poll(() => rows.count()).toBeGreaterThan(70);
  const citrus = await figures();
  expect(citrus).toEqual([...citrus].sort((a, b) => b - a));
  await expect(rows.first()).toContainText(/\d \d\.\d to \d/);

  await page.getByLabel('Ranked by').selectOption({ label: 'myrcene' });
  await expect(page.getByRole('heading', { name: /^Myrcene, % of oil: most in / })).toBeVisible();
  const myrcene = await figures();
  expect(myrcene).toEqual([...myrcene].sort((a, b) => b - a));
  expect(myrcene[0]).toBeGreaterThan(30);

  await page.getByLabel('Name or origin').fill('cascade');
  await expect(rows).toHaveCount(1);
  await page.getByLabel('Name or origin').fill('');
  await page.getByLabel('Only in my stock').check();
  await expect(rows).not.toHaveCount(myrcene.length);
  for (const width of [390, 1280]) {
    await page.setViewportSize({ width, height: 900 });
    const wide = () => page.evaluate(() => document.documentElement.scrollWidth);
    await expect.poll(wide).toBeLessThanOrEqual(width);
  }
  await expectSourced(page);
  await rows.first().getByRole('link').click();
  await expect(page.getByRole('link', { name: 'All hops' })).toBeVisible();
});

test('the map shows who gives two chosen notes, and what is searched for stands out', async ({
  page,
}) => {
  await page.goto('/hops/');
  await page.getByLabel('By two notes').check();
  const map = page.getByRole('figure', { name: /^Map of/ });
  for (const width of [320, 390, 768, 1280]) {
    await page.setViewportSize({ width, height: 900 });
    // One look at both: the map is drawn anew a moment after the screen has changed.
    const seen = async () => {
      const { touching, names } = await namesOnMap(page);
      return { touching, enough: names > (width < 400 ? 4 : 10) };
    };
    await expect.poll(seen).toEqual({ touching: [], enough: true });
  }
  await page.getByRole('combobox', { name: 'Upwards' }).selectOption({ label: 'Resin' });
  await expect(page.getByRole('heading', { name: /^Resin and tropical of each/ })).toBeVisible();
  await expect(map).toHaveAccessibleName(/tropical across, resin upwards/);

  // The further right and up, the more of a note: places and figures agree.
  await page.getByText('As a table').click();
  await page.getByLabel('Name or origin').fill('ca');
  const lines = page.getByRole('table').locator('tbody tr');
  await expect(map.locator('a.found')).not.toHaveCount(0);
  await expect(lines).toHaveCount(await map.locator('a.found').count());
  const rows = await lines.all();
  expect(rows.length).toBeGreaterThan(2);
  const read = await Promise.all(
    rows.map(async (row) => {
      const [name, x, y] = (await row.locator('th, td').allTextContents()).map((t) => t.trim());
      const dot = map.locator('a.found', { has: page.locator(`title:text-is("${name}")`) });
      const [cx, cy] = await dot
        .locator('.dot')
        .evaluate((d) => [d.getAttribute('cx'), d.getAttribute('cy')].map(Number));
      return { x: Number(x), y: Number(y), cx: cx!, cy: cy! };
    }),
  );
  for (const a of read)
    for (const b of read) {
      if (a.x > b.x) expect(a.cx).toBeGreaterThan(b.cx);
      if (a.y > b.y) expect(a.cy).toBeLessThan(b.cy);
    }
  await expect(map.locator('a.found')).toHaveCount(read.length);
  await expectSourced(page);

  await page.getByLabel('Name or origin').fill('');
  await page.getByLabel('Only in my stock').check();
  await expect(map.locator('a.first')).not.toHaveCount(0);
});

test('the table of hops has every compound and every axis', async ({ page }) => {
  await page.goto('/hops/');
  await page.waitForLoadState('networkidle');
  await page.getByLabel('Name or origin').fill('citra');
  await page.getByLabel('Columns').selectOption({ label: 'All figures' });
  const table = page.getByRole('region', { name: 'Hop table' });
  for (const column of [...AXES.map((a) => spoken(AXIS_NAMES[a])), ...ANALYTES.map(analyteName)])
    await expect(table.getByRole('button', { name: column, exact: true }), column).toBeVisible();
  const citrus = table.locator('[data-from="equation/intensity/citrus"]');
  await expect(citrus).toHaveText(/^\d\.\d$/);
  await citrus.click();
  await expect(page.getByRole('dialog')).toContainText('Citra');
});

test('the ranking is sound in every look', async ({ page }) => {
  await page.goto('/hops/');
  await page.getByLabel('Name or origin').fill('CZ');
  await page.getByLabel('By compound or aroma').check();
  await expectSoundInEveryLook(page);
});
