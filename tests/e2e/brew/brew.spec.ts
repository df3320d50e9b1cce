// From a blend to the glass: shopping, the sheet on one sheet of A4, the brewhouse view through every step with
// a reload between, the log with two deviations, the stock drawn down once and undone.
import { readFile } from 'node:fs/promises';
import ICAL from 'ical.js';
import type { Page } from '@playwright/test';
import { EIGHT_STAGES } from '../../sheets/eight-stages.ts';
import { expect, test } from '../support/journey.ts';
import { expectSoundInEveryLook } from '../support/looks.ts';
import { expectSourced } from '../support/sourced.ts';
import { Workbench } from '../support/workbench.ts';
import { sheetsOf } from '../support/paper.ts';

async function toBrew(page: Page): Promise<void> {
  const workbench = new Workbench(page);
  await workbench.open();
  await workbench.settledBlend();
  await page.getByRole('link', { name: 'Brew this' }).click();
  await expect(page.getByRole('article', { name: 'Brew sheet' })).toBeVisible();
}
const view = (page: Page, name: string) =>
  page.getByRole('navigation', { name: 'Views of the brew' }).getByRole('link', { name });

test('a blend is bought, printed, brewed step by step, and logged as it was', async ({ page }) => {
  test.slow();
  await toBrew(page);

  // Shopping: more than the stock has is told in whole packages.
  await view(page, 'Shopping').click();
  const shopping = page.getByRole('region', { name: 'Shopping', exact: true });
  await expect(shopping.getByRole('row')).not.toHaveCount(1);
  await shopping.getByRole('textbox', { name: 'Package, where none is known' }).fill('250');
  await shopping.getByRole('textbox', { name: 'Package, where none is known' }).press('Tab');
  await expect(shopping).toContainText(/× 250 g|Nothing to buy/);
  await expectSourced(page);

  // The sheet: notes of one's own, a day, a calendar, and one page of A4.
  await view(page, 'Brew sheet').click();
  await page.getByLabel(/^Your notes for this brew/).fill('Gypsum 4 g, rice hulls');
  await page.getByLabel(/^Your notes for this brew/).press('Tab');
  await page.getByLabel('Brew day').fill('2026-12-05');
  const sheet = page.getByRole('article', { name: 'Brew sheet' });
  await expect(sheet).toContainText('Gypsum 4 g, rice hulls');
  await expect(sheet).toContainText('Sat 5 Dec 2026');
  await expectSourced(page);
  expect(await sheetsOf(page)).toBe(1);
  const [calendar] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Calendar (.ics)' }).click(),
  ]);
  const text = await readFile(await calendar.path(), 'utf8');
  const events = new ICAL.Component(ICAL.parse(text) as unknown[]).getAllSubcomponents('vevent');
  expect(events[0]!.getFirstPropertyValue('dtstart')!.toString()).toBe('2026-12-05');

  // The brewhouse: a clock and the ticks outlive a reload.
  await page.getByRole('button', { name: 'Start this batch' }).click();
  const brewhouse = page.getByRole('region', { name: 'Brewhouse' });
  await expect(brewhouse).toContainText('Step 1 of');
  const count = Number(/of (\d+)/.exec(await brewhouse.innerText())![1]);
  const done = brewhouse.getByRole('button', { name: 'Done' });
  await done.click();
  await expect(brewhouse).toContainText('Step 2 of');
  await brewhouse.getByRole('button', { name: /^Start \d+ min/ }).click();
  await expect(brewhouse.getByRole('timer')).toHaveText(/\d\d:\d\d/);
  await page.waitForTimeout(600); // what is ticked is written after a rest of 200 ms
  await page.reload();
  await expect(brewhouse).toContainText('Step 2 of');
  await expect(brewhouse.getByRole('timer')).toHaveText(/\d\d:\d\d/);
  for (let step = 2; step <= count; step += 1) {
    await expect(brewhouse).toContainText(`Step ${step} of ${count}`);
    await done.click();
  }
  await expect(brewhouse).toContainText('All steps are done');

  // The log: two deviations, and what was measured; the prediction follows.
  await view(page, 'Log').click();
  const log = page.getByRole('region', { name: 'Batch log' });
  const planned = log.getByRole('region', { name: 'Planned and brewed' });
  await expect(planned.getByRole('row').nth(1).locator('strong')).toHaveCount(0);
  const dose = log.getByRole('textbox', { name: /pellet$|cone$/ }).first();
  await dose.fill('77');
  await dose.press('Tab');
  await expect(planned.getByRole('row').nth(1).locator('strong')).toHaveCount(1);
  const warmer = log.getByRole('textbox', { name: /temperature$/ }).last();
  await warmer.fill('12');
  await warmer.press('Tab');
  await log.getByRole('textbox', { name: 'Original gravity' }).fill('1.057');
  await log.getByRole('textbox', { name: 'Bitterness' }).fill('31');
  await log.getByRole('textbox', { name: 'Bitterness' }).press('Tab');
  await expect(planned.getByRole('row').nth(2)).toContainText('31');

  // The stock is drawn down once, and undo brings it back.
  const draw = log.getByRole('button', { name: 'Take what was used out of the stock' });
  await draw.click();
  await expect(log).toContainText('Taken out of the stock');
  await expect(draw).toHaveCount(0);
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(draw).toHaveCount(1);
  await page.getByRole('button', { name: 'Redo' }).click();
  await expect(log).toContainText('Taken out of the stock');
  await page.waitForTimeout(600);
  await page.reload();
  await expect(dose).toHaveValue('77');
  await expect(warmer).toHaveValue('12');
  await expect(log.getByRole('textbox', { name: 'Original gravity' })).toHaveValue('1.057');
  await expect(log).toContainText('Taken out of the stock');
});

test('a photo is kept with the batch, and one too large is refused', async ({ page }) => {
  await toBrew(page);
  await page.getByRole('button', { name: 'Start this batch' }).click();
  await view(page, 'Log').click();
  const photos = page.getByRole('region', { name: 'Photos' });
  const buffer = await page.screenshot({ clip: { x: 0, y: 0, width: 60, height: 40 } });
  const add = photos.getByLabel('Add a photo');
  await add.setInputFiles({ name: 'foam.png', mimeType: 'image/png', buffer });
  await expect(photos.getByRole('img', { name: /^Photo 1/ })).toBeVisible();
  await page.waitForTimeout(600);
  await page.reload();
  await expect(photos.getByRole('img', { name: /^Photo 1/ })).toBeVisible();
  const large = Buffer.alloc(20_000_001);
  await add.setInputFiles({ name: 'large.png', mimeType: 'image/png', buffer: large });
  await expect(photos.getByRole('alert')).toContainText(
    'over the 20 MB taken. Choose a smaller one',
  );
});

test('eight stages stay on one sheet of A4; every view is sound in every look', async ({
  page,
}) => {
  await page.goto('/');
  await page.getByRole('button', { name: 'Files' }).click();
  const design = {
    id: 'eight',
    brief: {
      ...EIGHT_STAGES,
      additions: undefined,
      target: {},
      candidates: 'table',
    },
    own: EIGHT_STAGES.additions,
    saved_at: '2026-03-31T10:00:00.000Z',
  };
  const file = {
    format: 'blendbine-workspace',
    version: 1,
    designs: [design],
    lots: [],
    open: 'eight',
  };
  await page.getByLabel(/^Open a workspace file/).setInputFiles({
    name: 'eight.json',
    mimeType: 'application/json',
    buffer: Buffer.from(JSON.stringify(file)),
  });
  await page.getByRole('button', { name: 'Replace everything here' }).click();
  await page.goto('/brew/');
  const sheet = page.getByRole('article', { name: 'Brew sheet' });
  await expect(sheet.getByRole('listitem').first()).toBeVisible();
  await expect(sheet).toContainText('Run in the liquor of the steep');
  expect(await sheetsOf(page)).toBe(1);
  await expectSoundInEveryLook(page);
  await view(page, 'Shopping').click();
  await expect(page.getByRole('region', { name: 'Shopping list' })).toBeVisible();
  await expectSoundInEveryLook(page);
  await page.getByRole('button', { name: 'Start this batch' }).click();
  await expect(page.getByRole('region', { name: 'Brewhouse' })).toBeVisible();
  await expectSoundInEveryLook(page);
  await view(page, 'Log').click();
  await expect(page.getByRole('region', { name: 'Planned and brewed' })).toBeVisible();
  await expectSoundInEveryLook(page);
});
