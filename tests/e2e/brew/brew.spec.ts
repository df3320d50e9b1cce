// Photos of a batch, and every view of a brew of eight stages: on one sheet of A4, and sound in every look.
import { truncate, writeFile } from 'node:fs/promises';
import type { Page } from '@playwright/test';
import { EIGHT_STAGES } from '../../sheets/eight-stages.ts';
import { expect, test } from '../support/journey.ts';
import { kept } from '../support/kept.ts';
import { expectSoundInEveryLook } from '../support/looks.ts';
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

test('a photo is kept with the batch, and one too large is refused', async ({ page }) => {
  await toBrew(page);
  await page.getByRole('button', { name: 'Start this batch' }).click();
  await view(page, 'Log').click();
  const photos = page.getByRole('region', { name: 'Photos' });
  const buffer = await page.screenshot({ clip: { x: 0, y: 0, width: 60, height: 40 } });
  const add = photos.getByLabel('Add a photo');
  await add.setInputFiles({ name: 'foam.png', mimeType: 'image/png', buffer });
  await expect(photos.getByRole('img', { name: /^Photo 1/ })).toBeVisible();
  await expect.poll(async () => JSON.stringify(await kept(page))).toContain('"photos":["');
  await page.reload();
  await expect(photos.getByRole('img', { name: /^Photo 1/ })).toBeVisible();
  // By its path: to send as many bytes to the browser took ten seconds.
  const large = test.info().outputPath('large.png');
  await writeFile(large, '');
  await truncate(large, 20_000_001);
  await add.setInputFiles(large);
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
